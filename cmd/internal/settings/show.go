package settings

import (
	"encoding/json"
	"fmt"
	"strings"
)

// A Row is one setting as it is shown.
type Row struct {
	Name  string `json:"name"`
	Value any    `json:"value"`           // text, true/false, whole number or list of texts
	From  string `json:"from"`            // FILE:LINE, a variable, a flag, or "default"
	Means string `json:"means,omitempty"` // what "auto" comes to
	By    string `json:"by,omitempty"`    // the variable that decided it
}

// TOML is the value as the file has it.
func (r Row) TOML() string { return inTOML(r.Value) }

// Rows are all settings.
func (l *Loaded) Rows() []Row {
	rows := make([]Row, 0, len(fields))
	for _, f := range fields {
		r := Row{Name: f.name, Value: value(f, &l.Settings), From: l.origin[f.name], By: l.by[f.name]}
		if r.From == "" {
			r.From = "default"
		}
		if r.Value == "auto" {
			r.Means = map[string]string{"theme": groundWord(l.dark), "ascii": onWord(l.ascii)}[f.name]
		}
		rows = append(rows, r)
	}
	return rows
}

func groundWord(dark bool) string {
	if dark {
		return "dark"
	}
	return "light"
}

func onWord(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// value is a setting's value, and never a nil list.
func value(f *field, s *Settings) any {
	switch at := f.at(s).(type) {
	case *bool:
		return *at
	case *int:
		return *at
	case *[]string:
		return append([]string{}, *at...)
	default:
		return *at.(*string)
	}
}

// inTOML writes a value as the file has it.
func inTOML(value any) string {
	switch v := value.(type) {
	case string:
		return quote(v)
	case []string:
		quoted := make([]string, len(v))
		for i, text := range v {
			quoted[i] = quote(text)
		}
		return "[" + strings.Join(quoted, ", ") + "]"
	case map[string]any:
		return "a table"
	}
	return fmt.Sprint(value)
}

// quote writes text as a basic string of TOML, which is that of JSON but for
// one character.
func quote(text string) string {
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(text) // text always can be
	return strings.ReplaceAll(strings.TrimSuffix(b.String(), "\n"), "\x7f", `\u007f`)
}

// File is a settings file with every setting at its default and what it is
// for. Its lines stand behind a #, so that it changes nothing as it is.
func File() string {
	var b strings.Builder
	b.WriteString("# What rinseby is set to. Take the # before a name away, and give the value after it.\n" +
		"# A variable of the environment goes before this file: " + fields[0].Variable() + " for " + fields[0].name + ", and so on.\n" +
		"# rinseby settings shows what holds, and where it is from.\n")
	defaults := Default()
	for _, f := range fields {
		b.WriteString("\n")
		for _, line := range wrap(f.about+" Give "+f.gives+".", 98) {
			b.WriteString("# " + line + "\n")
		}
		b.WriteString("#" + f.name + " = " + inTOML(value(f, &defaults)) + "\n")
	}
	return b.String()
}

// wrap breaks text into lines of at most so many bytes, between words.
func wrap(text string, most int) (lines []string) {
	for _, word := range strings.Fields(text) {
		if n := len(lines); n > 0 && len(lines[n-1])+1+len(word) <= most {
			lines[n-1] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}
