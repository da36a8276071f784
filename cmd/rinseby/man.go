package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func (e *edge) manCommand() *cobra.Command {
	var dir string
	c := &cobra.Command{
		Use:   "man [COMMAND]",
		Short: "Write the manual pages",
		Long: `Man writes the manual page of rinseby, or of one of its commands, to standard output; with --dir the pages of all into
a folder that is there. They carry the date of SOURCE_DATE_EPOCH, or none.`,
		RunE: func(c *cobra.Command, args []string) error {
			day, err := pageDate(os.Getenv("SOURCE_DATE_EPOCH"))
			if err != nil {
				return err
			}
			root := c.Root()
			if dir != "" {
				if len(args) > 0 {
					return errors.New("with --dir all pages are written: leave out " + args[0])
				}
				return writePages(root, day, dir)
			}
			of, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return fmt.Errorf("there is no command %q: see rinseby --help", strings.Join(args, " "))
			}
			page, err := manPage(of, day)
			if err != nil {
				return err
			}
			_, err = e.out.Write(page)
			return err
		},
	}
	c.Flags().StringVar(&dir, "dir", "", "folder to write the pages of all commands into")
	return c
}

// pageDate is the moment that SOURCE_DATE_EPOCH gives in seconds since 1970;
// the zero time if it is not set.
func pageDate(epoch string) (time.Time, error) {
	if epoch == "" {
		return time.Time{}, nil
	}
	seconds, err := strconv.ParseInt(epoch, 10, 64)
	if err != nil {
		return time.Time{}, fmt.Errorf("SOURCE_DATE_EPOCH is %q: give whole seconds since 1970, or unset it", epoch)
	}
	return time.Unix(seconds, 0).UTC(), nil
}

// manPage is the manual page of a command, in roff.
func manPage(c *cobra.Command, day time.Time) ([]byte, error) {
	c.DisableAutoGenTag = true // which has the day on which it was run
	var b bytes.Buffer
	header := &doc.GenManHeader{Section: "1", Source: "rinseby", Manual: "Rinseby", Date: &day}
	if err := doc.GenMan(c, header, &b); err != nil {
		return nil, err
	}
	if day.IsZero() {
		return bytes.Replace(b.Bytes(), []byte(`"`+day.Format("Jan 2006")+`"`), []byte(`""`), 1), nil
	}
	return b.Bytes(), nil
}

// writePages writes the pages of a command and of all below it.
func writePages(c *cobra.Command, day time.Time, dir string) error {
	page, err := manPage(c, day)
	if err != nil {
		return err
	}
	path := filepath.Join(dir, strings.ReplaceAll(c.CommandPath(), " ", "-")+".1")
	if err := os.WriteFile(path, page, 0o644); err != nil {
		return fmt.Errorf("%s can't be written (%w): check the folder and its permissions", path, cause(err))
	}
	for _, below := range c.Commands() {
		if below.IsAvailableCommand() && !below.IsAdditionalHelpTopicCommand() {
			if err := writePages(below, day, dir); err != nil {
				return err
			}
		}
	}
	return nil
}
