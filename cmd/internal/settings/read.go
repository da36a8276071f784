package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"rinseby/tui/clean"
)

// maxFile is the largest settings file that is read, in bytes.
const maxFile = 64 << 10

// A Problem says what is wrong in one place, and what to do about it. What is
// wrong counts as not set.
type Problem struct {
	Where string // FILE:LINE, a variable or a flag
	Name  string // of the setting, or what stands in its place; "" for all that the file holds
	Say   string
}

func (p *Problem) Error() string { return clean.Text(p.Where + ": " + p.Say) }

// Brief is the error with the file's name alone, for a line of a screen.
func (p *Problem) Brief() string { return clean.Text(filepath.Base(p.Where) + ": " + p.Say) }

// readFile takes what the settings file holds, if it is there.
func (l *Loaded) readFile() {
	text, err := readSmall(l.File)
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	l.Found = true
	var values map[string]any
	if err == nil {
		text = bytes.TrimPrefix(text, []byte("\ufeff")) // as some editors begin a file
		err = toml.Unmarshal(text, &values)
	}
	if err != nil {
		p := &Problem{Where: l.File, Say: err.Error()}
		var decode *toml.DecodeError
		if errors.As(err, &decode) {
			line, _ := decode.Position()
			p.Where = fmt.Sprintf("%s:%d", l.File, line)
			p.Say = fmt.Sprintf("not valid TOML (%s): correct this line; until then no line of the file counts", strings.TrimPrefix(err.Error(), "toml: "))
		}
		l.Problems = append(l.Problems, p)
		return
	}
	for _, e := range entries(text) {
		where := fmt.Sprintf("%s:%d", l.File, e.line)
		if i := slices.IndexFunc(fields, func(f *field) bool { return f.name == e.name }); i >= 0 {
			l.take(fields[i], values[e.name], where)
			continue
		}
		l.Problems = append(l.Problems, &Problem{Where: where, Name: e.name, Say: fmt.Sprintf(
			"there is no setting %s: did you mean %s?", clean.Short(e.name, 40), nearest(e.name))})
	}
}

// readSmall reads a file. Its errors say what to do.
func readSmall(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return nil, errors.New("this is no file: put a file there, or take it away")
	case err == nil && info.Size() > maxFile:
		return nil, fmt.Errorf("the file is larger than %d KiB: is it the right one?", maxFile>>10)
	case err == nil:
		var text []byte
		if text, err = os.ReadFile(path); err == nil {
			return text, nil
		}
	}
	var in *fs.PathError
	if errors.As(err, &in) && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the file can't be read (%w): check its permissions", in.Err)
	}
	return nil, err
}

// An entry is a name that the file gives a value.
type entry struct {
	name string // with those of its tables, joined by dots
	line int
}

// entries are the names in a TOML document without errors of syntax. Of a
// table only its heading is one.
func entries(text []byte) (all []entry) {
	var p unstable.Parser
	p.Reset(text)
	inTable := false
	for p.NextExpression() {
		node := p.Expression()
		inTable = inTable || node.Kind != unstable.KeyValue
		if inTable && node.Kind == unstable.KeyValue || node.Kind == unstable.Comment {
			continue
		}
		var names []string
		offset := 0
		for key := node.Key(); key.Next(); {
			if names = append(names, string(key.Node().Data)); len(names) == 1 {
				offset = int(key.Node().Raw.Offset)
			}
		}
		all = append(all, entry{strings.Join(names, "."), 1 + bytes.Count(text[:offset], []byte("\n"))})
	}
	return all
}

// fromText is the value that a variable or a flag gives a setting.
func fromText(f *field, text string) any {
	switch f.at(&Settings{}).(type) {
	case *string:
		return text
	case *[]string:
		if !strings.HasPrefix(text, "[") {
			return []any{text} // a program without arguments
		}
	}
	var values map[string]any
	if toml.Unmarshal([]byte("value = "+text), &values) != nil || len(values) != 1 {
		return text // which is of no other type
	}
	return values["value"]
}

// take puts a value in its place, if it is of the type and right.
func (l *Loaded) take(f *field, value any, where string) {
	try := l.Settings
	fits := false
	switch at := f.at(&try).(type) {
	case *string:
		*at, fits = value.(string)
	case *bool:
		*at, fits = value.(bool)
	case *int:
		var n int64
		n, fits = value.(int64)
		*at = int(max(min(n, math.MaxInt32), math.MinInt32))
	case *[]string:
		*at, fits = texts(value)
	}
	if !fits || !f.right(&try) {
		l.Problems = append(l.Problems, &Problem{Where: where, Name: f.name,
			Say: fmt.Sprintf("%s = %s: give %s", f.name, clean.Short(inTOML(value), 40), f.gives)})
		return
	}
	l.Settings, l.origin[f.name] = try, where
}

// texts is a list of nothing but texts.
func texts(value any) (all []string, ok bool) {
	list, ok := value.([]any)
	for _, v := range list {
		text, isText := v.(string)
		all, ok = append(all, text), ok && isText
	}
	return all, ok
}
