package settings

import (
	"cmp"
	"slices"
	"strings"
)

// nearest is the setting whose name, or whose beginning, is most like the word.
func nearest(word string) string {
	word = strings.ToLower(word[strings.LastIndexByte(word, '.')+1:])
	unlike := func(name string) int {
		return min(distance(word, name), 1+distance(word, name[:min(len(word), len(name))]))
	}
	return slices.MinFunc(fields, func(a, b *field) int { return cmp.Compare(unlike(a.name), unlike(b.name)) }).name
}

// distance is in how many letters that are put in, taken out or changed two
// words differ (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1) // distances of what was read of a from each beginning of b
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, before+1)
		}
	}
	return row[len(b)]
}
