package template

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"sync"

	"rinseby/session"
	"rinseby/session/formula"
)

// A List is one zone list. It never changes once it is parsed.
type List struct {
	Name  string
	About string
	// File is the name of the file that it was read from.
	File string
	// Builtin says that it came with the program.
	Builtin bool
	// Text is the file itself, for the user to copy and change.
	Text string

	steps  []session.PlanStep
	rounds []session.PlanSet // without the kinds of the products
}

// Plans is the list as plans of a service, to be given to [session.Decide] in
// their order, and its steps, for [session.ServiceOpened]. The catalogue
// gives each product's kind and the spelling of its name; the error names all
// products that it does not hold. The caller may change what is returned.
func (l *List) Plans(cat *formula.Catalogue) ([]session.PlanSet, []session.PlanStep, error) {
	var missing []error
	asked := map[string]bool{}
	rounds := slices.Clone(l.rounds)
	for i := range rounds {
		rounds[i].Zones = slices.Clone(rounds[i].Zones)
		for j := range rounds[i].Zones {
			z := &rounds[i].Zones[j]
			z.SameHairAs, z.Bands = slices.Clone(z.SameHairAs), slices.Clone(z.Bands)
			for k := range z.Bands {
				b := &z.Bands[k]
				p, ok := cat.Product(b.Product)
				if !ok && !asked[b.Product] {
					missing = append(missing, fmt.Errorf("%s: %s, %s: the catalogue has no product %q: add it there, or name another in the list",
						l.File, z.Name, b.Band, b.Product))
				}
				asked[b.Product] = true
				b.Product, b.Kind = p.Name, p.Kind
			}
		}
	}
	if len(missing) > 0 {
		return nil, nil, errors.Join(missing...)
	}
	return rounds, slices.Clone(l.steps), nil
}

//go:embed lists/*.toml
var builtin embed.FS

// builtinFiles are the built-in lists in the order in which they are offered:
// the most frequent first, by our own judgement.
var builtinFiles = []string{"full-head.toml", "half-head.toml", "crown.toml", "painting.toml", "regrowth.toml", "shadow.toml"}

var parseBuiltin = sync.OnceValue(func() []*List {
	var lists []*List
	for _, name := range builtinFiles {
		l, err := readList(builtin, "lists/"+name)
		if err != nil {
			panic(fmt.Sprintf("a zone list built into the program is damaged: %v", err))
		}
		l.Builtin = true
		lists = append(lists, l)
	}
	return lists
})

// Builtin are the lists that come with the program. Their products are
// invented, their pieces and minutes common practice without a source.
func Builtin() []*List { return slices.Clone(parseBuiltin()) }

// Load reads the user's lists, which are the files *.toml in the folder
// itself, and returns them with the built-in ones. A list of the user takes
// the place of a built-in one of the same name; the others follow in the
// order of the files' names. A file that is wrong is left out, and so is a
// second one of the same name; each is a problem that names the file. A
// folder that is not there, or nil, holds no lists.
func Load(fsys fs.FS) (lists []*List, problems []error) {
	lists = Builtin()
	if fsys == nil {
		return lists, nil
	}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		problems = append(problems, fmt.Errorf("the folder of zone lists can't be read, check its permissions: %w", err))
	}
	for _, e := range entries {
		if e.IsDir() || path.Ext(e.Name()) != ".toml" {
			continue
		}
		l, err := readList(fsys, e.Name())
		if err != nil {
			problems = append(problems, err)
			continue
		}
		i := slices.IndexFunc(lists, func(o *List) bool { return same(o.Name, l.Name) })
		switch {
		case i < 0:
			lists = append(lists, l)
		case lists[i].Builtin:
			lists[i] = l
		default:
			problems = append(problems, fmt.Errorf("%s: the name %q is taken by %s: give one of them another name", l.File, l.Name, lists[i].File))
		}
	}
	return lists, problems
}

// readList reads one file, and no more of it than can be a list.
func readList(fsys fs.FS, name string) (*List, error) {
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: this is no file: move it elsewhere", name)
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: the zone list can't be read, check its permissions: %w", name, err)
	}
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, fmt.Errorf("%s: the zone list can't be read, check the disk: %w", name, err)
	}
	return Parse(path.Base(name), data)
}
