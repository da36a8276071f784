package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// chapterOf is what stands in the reference under a heading.
func chapterOf(t *testing.T, title string) string {
	t.Helper()
	text, err := os.ReadFile("../../session/FORMATS.md")
	require.NoError(t, err)
	_, chapter, found := strings.Cut(string(text), "\n## "+title+"\n")
	require.True(t, found, title)
	chapter, _, _ = strings.Cut(chapter, "\n## ")
	return chapter
}

// exampleService is the service of the reference, as plain lines.
func exampleService(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../session/FORMATS.md")
	require.NoError(t, err)
	_, lines, found := strings.Cut(string(text), "\n```jsonl\n")
	require.True(t, found)
	lines, _, _ = strings.Cut(lines, "```")
	return lines
}
