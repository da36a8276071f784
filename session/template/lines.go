package template

import (
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// lines tells on which line each field of a zone list stands. The keys are
// paths such as "round.0.zone.2.pieces", in small letters; a table's own path
// leads to its heading,
// and that of an array of tables to the heading of the first.
type lines map[string]int

// indexLines makes the index of a document whose syntax is right.
func indexLines(data []byte) lines {
	starts := []int{0}
	for i, b := range data {
		if b == '\n' {
			starts = append(starts, i+1)
		}
	}
	x, counts, table := lines{"": 1}, map[string]int{}, ""
	note := func(path string, node *unstable.Node) {
		if _, known := x[path]; !known {
			offset := int(node.Raw.Offset)
			x[path] = sort.Search(len(starts), func(i int) bool { return starts[i] > offset })
		}
	}
	// follow walks down a dotted key. On the way it enters the last element
	// of each array of tables; a new element begins if the key is a heading
	// of one.
	follow := func(path string, key unstable.Iterator, heading bool) string {
		for key.Next() {
			path = join(path, strings.ToLower(string(key.Node().Data)))
			if heading && key.IsLast() {
				counts[path]++
			}
			note(path, key.Node())
			if n := counts[path]; n > 0 {
				path = join(path, strconv.Itoa(n-1))
				note(path, key.Node())
			}
		}
		return path
	}
	var p unstable.Parser
	p.Reset(data)
	for p.NextExpression() {
		switch node := p.Expression(); node.Kind {
		case unstable.Table:
			table = follow("", node.Key(), false)
		case unstable.ArrayTable:
			table = follow("", node.Key(), true)
		case unstable.KeyValue:
			follow(table, node.Key(), false)
		}
	}
	return x
}

// line is where a path stands, or else what it is part of.
func (x lines) line(path string) int {
	for {
		if line, ok := x[path]; ok {
			return line
		}
		path = path[:max(strings.LastIndexByte(path, '.'), 0)]
	}
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}
