package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"rinseby/cmd/internal/settings"
	"rinseby/cmd/internal/steady"
	"rinseby/session"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/timing"
)

// An edge is where the program touches the world: the clock, the streams, the
// folders. Commands get theirs from it.
type edge struct {
	clock    timing.Clock
	in       io.Reader
	out, err io.Writer

	data, config string // folders; empty for the user's own
	stylist      string // whose services are meant, where a command asks; empty if not given

	flags  map[string]string // settings that were given as flags, by name
	loaded *settings.Loaded  // what the program is set to; nil until it is asked for
	told   bool              // that the time zone of the settings can't be used
	screen *terminal         // what screens are drawn on; nil until it is needed
	alerts *alerts           // of the screens; nil until they are started
	runner *steady.Runner    // of the screens; nil until they are to run
}

func (e *edge) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "rinseby",
		Short: "Run a hair colour service at the chair",
		Long: "Rinseby runs a hair colour service at the chair: what to do next, and by when it must be off.\n\n" +
			"The product's own instructions and your training come first; local rules apply.",
		Args:          noCommand,
		SilenceUsage:  true,
		SilenceErrors: true,
		PersistentPreRun: func(c *cobra.Command, _ []string) {
			e.flags, e.loaded = givenSettings(c), nil
		},
		RunE: func(*cobra.Command, []string) error { return e.chair() },
	}
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return fmt.Errorf("%w: see %s --help", err, c.CommandPath())
	})
	f := root.PersistentFlags()
	f.StringVar(&e.data, "data", "", "folder of the services (default: rinseby in the user's data folder)")
	f.StringVar(&e.config, "config", "", "folder of settings.toml, catalogue.toml and zones/ (default: rinseby in the user's configuration folder)")
	f.StringVar(&e.stylist, "stylist", "", "the stylist's name")
	f.String("station", "", "the station's name")
	root.AddCommand(e.floorCommand(), e.starterCommand(), e.practiceCommand(), e.importCommand(), e.cardCommand(), e.verifyCommand(), e.listCommand(), e.mixCommand(), e.planCommand(), e.forecastCommand(), e.historyCommand(), e.fitCommand(), e.reviewCommand(), e.compareCommand(), e.exportCommand(), e.forgetCommand(), e.reactionCommand(), e.replayCommand(), e.settingsCommand(), e.manCommand())
	for _, c := range append(root.Commands(), root) {
		switch c.Name() {
		case "rinseby", "practice", "floor", "replay":
			c.Flags().Bool("plain", false, "say one line for each change instead of drawing a screen, for screen readers and logs")
		}
	}
	root.SetOut(e.out)
	root.SetErr(e.err)
	e.completions(root)
	return root
}

// noCommand is for what follows the program's name and is no command.
func noCommand(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("there is no command %q: see rinseby --help", args[0])
	}
	return nil
}

func noArg(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("%s takes nothing after it but flags: see %[1]s --help", c.CommandPath())
	}
	return nil
}

func oneArg(c *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s takes the name of one file, not %d: see %[1]s --help", c.CommandPath(), len(args))
	}
	return nil
}

// cause is what the system says of a file, without the file's name.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// output is standard output, whose errors say what to do.
type output struct{ file *os.File }

func (o output) Write(b []byte) (int, error) {
	n, err := o.file.Write(b)
	if err != nil {
		err = fmt.Errorf("the output can't be written (%w): free some space, or send it elsewhere", cause(err))
	}
	return n, err
}

func (e *edge) dataDir() string {
	if e.data != "" {
		return e.data
	}
	return filepath.Join(xdg.DataHome, "rinseby")
}

func (e *edge) configDir() string {
	if e.config != "" {
		return e.config
	}
	return filepath.Join(xdg.ConfigHome, "rinseby")
}

func (e *edge) store() (*store.Store, error) { return store.Open(e.dataDir()) }

// settings are what the program is set to. They are read once.
func (e *edge) settings() *settings.Loaded {
	if e.loaded == nil {
		e.loaded = settings.Load(settings.Source{
			File: filepath.Join(e.configDir(), settings.FileName), Getenv: os.Getenv, Flags: e.flags,
		})
	}
	return e.loaded
}

// place is the salon's time zone. If the one that is set can't be used that is
// told once, as times would be shown wrong in silence.
func (e *edge) place() *time.Location {
	l := e.settings()
	if p := l.Problem("place"); p != nil && !e.told {
		e.told = true
		fmt.Fprintln(e.err, "rinseby:", p.Error()+"; times are shown as on this machine's clock")
	}
	return l.Zone()
}

// lists reads the built-in zone lists and the user's own.
func (e *edge) lists() ([]*template.List, []error) {
	return template.Load(os.DirFS(filepath.Join(e.configDir(), "zones")))
}

// service reads the log of a service: a file, an id in the store, or the name of
// a client whose last closed one is meant.
func (e *edge) service(name string) (*session.Log, error) {
	st, err := e.store()
	if err != nil {
		return nil, err
	}
	l, err := st.Read(name)
	if errors.Is(err, store.ErrNotFound) || errors.Is(err, fs.ErrNotExist) { // or the client whose last one it is
		if last, ok, found := st.LastOf(name); found == nil && ok {
			return st.Read(last.ID)
		}
	}
	return l, err
}
