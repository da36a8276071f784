package formula

import (
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// A place is a path in a TOML document: names and, for elements of arrays,
// "#" with the index, each behind a NUL.
type place string

func (p place) field(name string) place { return p + "\x00" + place(name) }
func (p place) element(i int) place     { return p.field("#" + strconv.Itoa(i)) }

// A lineIndex knows the line on which each value of a TOML document stands.
type lineIndex struct {
	parser  unstable.Parser
	starts  []int         // offset of the first byte of each line
	lines   map[place]int // of tables, the line of the heading
	lengths map[place]int // of arrays of tables
}

// indexLines makes the index of a document that has no errors of syntax.
func indexLines(data []byte) *lineIndex {
	x := &lineIndex{starts: []int{0}, lines: map[place]int{"": 1}, lengths: map[place]int{}}
	for i, b := range data {
		if b == '\n' {
			x.starts = append(x.starts, i+1)
		}
	}
	x.parser.Reset(data)
	table := place("")
	for x.parser.NextExpression() {
		switch node := x.parser.Expression(); node.Kind {
		case unstable.Table:
			table = x.follow("", node.Key())
		case unstable.ArrayTable:
			array := x.follow("", node.Key())
			table = array.element(x.lengths[array])
			x.lengths[array]++
			key := node.Key()
			key.Next()
			x.note(table, key.Node())
		case unstable.KeyValue:
			x.keyValue(table, node)
		}
	}
	return x
}

// follow walks a dotted key down from a place, into the last element of each
// array of tables on the way, and notes the line of what it passes.
func (x *lineIndex) follow(at place, key unstable.Iterator) place {
	first := true
	for key.Next() {
		if n := x.lengths[at]; n > 0 && !first {
			at = at.element(n - 1)
		}
		first = false
		at = at.field(string(key.Node().Data))
		x.note(at, key.Node())
	}
	return at
}

func (x *lineIndex) keyValue(table place, node *unstable.Node) {
	x.value(x.follow(table, node.Key()), node.Value())
}

// value notes the lines within arrays and inline tables.
func (x *lineIndex) value(at place, node *unstable.Node) {
	children := node.Children()
	switch node.Kind {
	case unstable.Array:
		for i := 0; children.Next(); i++ {
			x.note(at.element(i), children.Node())
			x.value(at.element(i), children.Node())
		}
	case unstable.InlineTable:
		for children.Next() {
			x.keyValue(at, children.Node())
		}
	}
}

// note remembers the line of a node, if it has one and the place is new.
func (x *lineIndex) note(at place, node *unstable.Node) {
	if _, known := x.lines[at]; !known && node.Raw.Length > 0 {
		offset := int(node.Raw.Offset)
		x.lines[at] = sort.Search(len(x.starts), func(i int) bool { return x.starts[i] > offset })
	}
}

// line is where a place stands, or what it is part of.
func (x *lineIndex) line(at place) int {
	for {
		if line, ok := x.lines[at]; ok {
			return line
		}
		at = at[:strings.LastIndexByte(string(at), 0)]
	}
}
