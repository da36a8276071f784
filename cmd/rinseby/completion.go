package main

import (
	"os"
	"slices"

	"github.com/spf13/cobra"

	"rinseby/session/template"
	"rinseby/tui/clean"
)

// words are what some flags may be, by command.
var words = map[string]map[string][]string{
	"card":     {"format": {"md", "json", "html"}},
	"review":   {"format": {"text", "md", "json"}},
	"reaction": {"what": reactionWords},
	"settings": {"format": {"text", "json"}},
	"mix":      {"unit": {"g", "oz"}},
}

// takesServices are the commands after which services stand, with how many;
// takesFile are those after which a file of another kind does.
var (
	takesServices = map[string]int{"card": 1, "compare": 2, "export": 1, "forecast": 1, "reaction": 1, "replay": 1, "review": 1, "verify": 1}
	takesFile     = map[string]bool{"import": true, "plan": true}
)

// completions tells shells what can stand where in a command line.
func (e *edge) completions(root *cobra.Command) {
	root.InitDefaultCompletionCmd()
	folders(root)
	for _, c := range root.Commands() {
		folders(c)
		for flag, values := range words[c.Name()] {
			completeFlag(c, flag, cobra.ShellCompDirectiveNoFileComp, func() []cobra.Completion { return values })
		}
		if c.Flags().Lookup("zones") != nil {
			completeFlag(c, "zones", cobra.ShellCompDirectiveNoFileComp, e.listNames)
		}
		if c.Flags().Lookup("beside") != nil {
			completeFlag(c, "beside", cobra.ShellCompDirectiveDefault, func() []cobra.Completion { return e.serviceIDs(nil) })
		}
		if c.Flags().Lookup("service") != nil {
			completeFlag(c, "service", cobra.ShellCompDirectiveNoFileComp, func() []cobra.Completion { return e.serviceIDs(nil) })
		}
		switch name := c.Name(); {
		case name == "completion":
			c.Short = "Print the script that completes commands in a shell"
		case name == "starter":
			c.ValidArgsFunction = only(builtinLists)
		case name == "man":
			c.ValidArgsFunction = only(func() []cobra.Completion { return commandNames(root) })
		case takesServices[name] > 0:
			c.ValidArgsFunction = func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
				if len(args) >= takesServices[name] {
					return nil, cobra.ShellCompDirectiveNoFileComp
				}
				return e.serviceIDs(args), cobra.ShellCompDirectiveDefault // files, if no service begins so
			}
		case !takesFile[name]:
			c.ValidArgsFunction = cobra.NoFileCompletions
		}
	}
}

// folders has shells complete what is a folder by nothing else.
func folders(c *cobra.Command) {
	for _, name := range []string{"data", "config", "dir", "history"} {
		if c.LocalNonPersistentFlags().Lookup(name) != nil {
			must(c.MarkFlagDirname(name))
		}
		if c.PersistentFlags().Lookup(name) != nil {
			must(c.MarkPersistentFlagDirname(name))
		}
	}
}

// completeFlag tells shells what a flag may be.
func completeFlag(c *cobra.Command, flag string, directive cobra.ShellCompDirective, values func() []cobra.Completion) {
	must(c.RegisterFlagCompletionFunc(flag, func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return values(), directive
	}))
}

// must is for what goes wrong only by a mistake in the tables above.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

// only completes one argument, and never by the name of a file.
func only(values func() []cobra.Completion) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return values(), cobra.ShellCompDirectiveNoFileComp
	}
}

// serviceIDs are the services of the store but those that are named already,
// the newest first. Nothing is made on the way, and what can't be read is left
// out.
func (e *edge) serviceIDs(but []string) (ids []cobra.Completion) {
	if _, err := os.Stat(e.dataDir()); err != nil {
		return nil
	}
	st, err := e.store()
	if err != nil {
		return nil
	}
	entries, _, err := st.List()
	if err != nil {
		return nil
	}
	for n := range entries.All {
		if !slices.Contains(but, n.ID) {
			what := n.Opened.In(e.place()).Format("2006-01-02 15:04")
			ids = append(ids, cobra.CompletionWithDesc(n.ID, what+" "+clean.Text(n.Client)))
		}
	}
	return ids
}

// listNames are the zone lists, built in and the user's own.
func (e *edge) listNames() (names []cobra.Completion) {
	lists, _ := e.lists()
	for _, l := range lists {
		names = append(names, clean.Text(l.Name))
	}
	return names
}

func commandNames(root *cobra.Command) (names []cobra.Completion) {
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}

func builtinLists() (names []cobra.Completion) {
	for _, l := range template.Builtin() {
		names = append(names, l.Name)
	}
	return names
}
