package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"filippo.io/age"
	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/session/replay"
)

func (e *edge) exportCommand() *cobra.Command {
	var redact bool
	var to []string
	var out string
	c := &cobra.Command{
		Use:   "export FILE",
		Short: "Write a service without names (--redact), or encrypted (--to), to hand out",
		Long: `Export writes a service to be handed out. FILE is a journal, or the id of a service in the store. A service holds
names and answers about health, so that it leaves only in one of two ways, or in both at once:

With --redact it is written as plain lines that tell of its work and of nobody: without names, ids, notes and answers
about health, and on an invented day. rinseby import reads it again, with the same exposures. Standing alone it is
meant for teaching; who knows the salon may still know the service by its minutes. session/FORMATS.md lists what is kept.

With --to it is encrypted, so that only who has the secret key of a recipient can read it. A recipient is a public key
of age, an open format (age1…; age-keygen makes a pair of keys); --to may be given several times. The journal is in
it whole, with names. It is read again with: age -d -i KEYFILE FILE.age > service.jsonl`,
		Args: oneArg,
		RunE: func(_ *cobra.Command, args []string) error {
			if !redact && len(to) == 0 {
				return errors.New("a service holds names and answers about health, so that it is only exported without them (--redact) or encrypted (--to RECIPIENT)")
			}
			return e.export(args[0], redact, to, out)
		},
	}
	c.Flags().BoolVar(&redact, "redact", false, "take names, notes, answers about health and the day out")
	c.Flags().StringArrayVar(&to, "to", nil, "encrypt to this recipient (age1…); may be given several times; needs --output")
	c.Flags().StringVarP(&out, "output", "o", "", "file to write, which must not be there yet (default: standard output)")
	return c
}

func (e *edge) export(name string, redact bool, to []string, out string) error {
	recipients, err := parseRecipients(to)
	if err != nil {
		return err
	}
	if len(recipients) > 0 && out == "" {
		return errors.New("what is encrypted is no text for a terminal: name a file for it, with --output FILE.age")
	}
	log, err := e.service(name)
	if err != nil {
		return err
	}
	text, err := exported(log, redact)
	if err != nil {
		return err
	}
	if len(recipients) > 0 {
		if text, err = encrypt(text, recipients); err != nil {
			return err
		}
	}
	if out == "" {
		_, err = e.out.Write(text)
		return err
	}
	return writeNew(out, text)
}

// exported is a service as lines: redacted, or its journal.
func exported(log *session.Log, redact bool) ([]byte, error) {
	if redact {
		return replay.Redact(log)
	}
	recs, err := session.Records(log.Events())
	if err != nil {
		return nil, err
	}
	return journal.Encode(recs)
}

// parseRecipients are who is to be able to read what is encrypted. Errors never
// repeat a secret key.
func parseRecipients(to []string) (all []age.Recipient, err error) {
	for _, text := range to {
		text = strings.TrimSpace(text)
		if strings.HasPrefix(strings.ToUpper(text), "AGE-SECRET-KEY-") {
			return nil, errors.New("--to: that is a secret key, which is nobody's but its owner's: give the public one, age1…, and make a new pair if others saw this one")
		}
		r, err := age.ParseRecipients(strings.NewReader(text))
		if err != nil || len(r) != 1 {
			return nil, fmt.Errorf("--to %q: this is no recipient: give one public key of age, age1…, as age-keygen prints it", text)
		}
		all = append(all, r...)
	}
	return all, nil
}

// encrypt makes text readable to the recipients alone.
func encrypt(text []byte, to []age.Recipient) ([]byte, error) {
	var out bytes.Buffer
	w, err := age.Encrypt(&out, to...)
	if err == nil {
		_, err = w.Write(text)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("it can't be encrypted to these recipients together (%w): export once for each", err)
	}
	return out.Bytes(), nil
}

// writeNew writes a file that is not there yet, for its owner's eyes only.
func writeNew(path string, text []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: name a new file", path)
	}
	if err != nil {
		return fmt.Errorf("%s can't be written (%w): check the folder and its permissions", path, cause(err))
	}
	if _, err = f.Write(text); err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("%s could not be written whole (%w): take it away, free some space and try again", path, cause(err))
	}
	return nil
}
