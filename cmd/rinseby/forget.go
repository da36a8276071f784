package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"rinseby/session/store"
	"rinseby/tui/clean"
)

// exitStillNamed is the exit code of forget where the services are gone, but
// the name stands elsewhere.
const exitStillNamed = 2

// notReached is what forgetting leaves, in words.
const notReached = `Not reached: copies, backups and exports of these services, cards that were printed or written elsewhere, and what
the file system and the disk themselves keep of files that were removed. Encrypt the disk against the last.`

// forgetFlags are what forget was asked for.
type forgetFlags struct {
	service   string
	live, yes bool
}

func (e *edge) forgetCommand() *cobra.Command {
	var f forgetFlags
	c := &cobra.Command{
		Use:   "forget CLIENT",
		Short: "Remove a client's services for good",
		Long: `Forget removes all closed services of a client: logs, marks, and their lines in the summary; with --live those that
are under way, too. Case, and blanks around the name, don't count. With --service ID it removes that one service. It
says first what would go, and asks; where nobody can be asked it needs --yes. How long things took the stylist stays,
without the client. ` + strings.ReplaceAll(notReached, "\n", " ") + `
Exit codes: 0 all is gone, 2 it is, but the name still stands in files that are named, 1 something is wrong.`,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 1 || (len(args) == 1) == (f.service != "") {
				return fmt.Errorf("%s takes the name of one client (in quotes, if it has blanks), or --service ID: see %[1]s --help", c.CommandPath())
			}
			return e.forget(strings.Join(args, ""), f)
		},
	}
	c.Flags().StringVar(&f.service, "service", "", "remove this one service, by its id, whoever the client is")
	c.Flags().BoolVar(&f.live, "live", false, "services that are under way go, too")
	c.Flags().BoolVar(&f.yes, "yes", false, "remove them without asking")
	return c
}

func (e *edge) forget(client string, f forgetFlags) error {
	st, err := e.store()
	if err != nil {
		return err
	}
	all, err := forgettable(st, client, f.service)
	if err != nil {
		return err
	}
	going := slices.DeleteFunc(slices.Clone(all), func(n store.Entry) bool { return n.Live && !f.live })
	if n := len(all) - len(going); n > 0 {
		fmt.Fprintf(e.err, "rinseby: %s under way: close it first, or give --live\n", count(n, "service is", "services are"))
	}
	if len(going) == 0 {
		return errors.New("nothing was removed")
	}
	fmt.Fprintf(e.out, "From %s this would be removed, and could not be brought back:\n", clean.Text(st.Dir()))
	for _, n := range going {
		state := "closed"
		if n.Live {
			state = "under way"
		}
		fmt.Fprintf(e.out, "  %s  %s, %s, %s, of %s\n", n.ID, n.Opened.In(e.place()).Format("2 January 2006 15:04"), state, count(n.Events, "entry", "entries"), clean.Text(n.Client))
	}
	fmt.Fprintln(e.out, "with marks, and with what the summary says of them. The stylist's times stay, without the client.")
	fmt.Fprintln(e.out, notReached)
	if !f.yes {
		if err := e.confirm(); err != nil {
			return err
		}
	}
	if err := st.Forget(going...); err != nil {
		return err
	}
	fmt.Fprintf(e.out, "Removed: %s.\n", count(len(going), "service", "services"))
	if f.service != "" || len(going) < len(all) {
		return nil
	}
	return e.stillNamed(st, client)
}

// forgettable are the services of a client, or the one of an id.
func forgettable(st *store.Store, client, id string) ([]store.Entry, error) {
	if id != "" {
		if strings.ContainsAny(id, `./\`) {
			return nil, fmt.Errorf("--service %q: give the id of a service in the store, as rinseby list shows it; a file elsewhere is yours to remove", id)
		}
		n, err := st.Find(id)
		return []store.Entry{n}, err
	}
	if strings.TrimSpace(client) == "" {
		return nil, errors.New("the client has no name: to remove a service without one, give --service ID")
	}
	all, err := st.Of(client)
	if err == nil && len(all) == 0 {
		err = fmt.Errorf("there is no service of %q: rinseby list shows the names as they are written", client)
	}
	return all, err
}

// confirm asks whoever sits at the terminal.
func (e *edge) confirm() error {
	if f, ok := e.in.(*os.File); !ok || !term.IsTerminal(f.Fd()) {
		return errors.New("nothing was removed, as nobody can be asked here: give --yes")
	}
	fmt.Fprint(e.out, "Type yes to remove it: ")
	said, err := bufio.NewReader(e.in).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return fmt.Errorf("nothing was removed, as no answer could be read: %w", err)
	}
	if !strings.EqualFold(strings.TrimSpace(said), "yes") {
		return errors.New("nothing was removed")
	}
	return nil
}

// stillNamed tells where the name of a client who was forgotten still stands.
func (e *edge) stillNamed(st *store.Store, client string) error {
	paths, problems, err := st.Mentions(client)
	if err != nil {
		return fmt.Errorf("the services are removed, but not all files could be searched for the name: %w", err)
	}
	e.passedOver(problems)
	if len(paths) == 0 && len(problems) > 0 {
		return &exitError{code: exitStillNamed, text: "the services are removed, but not all files could be searched for the name"}
	}
	if len(paths) == 0 {
		return nil
	}
	for _, p := range paths {
		fmt.Fprintln(e.err, "rinseby: the name still stands in", clean.Text(p))
	}
	return &exitError{code: exitStillNamed, text: "what others' services say is not changed: look at these files, and decide whether they may stay"}
}

// count is a number of things.
func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
