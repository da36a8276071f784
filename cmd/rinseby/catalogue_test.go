package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/session/formula"
)

func TestLastGoodCatalogueStaysInUse(t *testing.T) {
	e := &edge{data: t.TempDir(), config: t.TempDir()}
	file := filepath.Join(e.config, catalogueFile)
	write := func(text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o644)) }

	cat, err := e.catalogue()
	require.NoError(t, err)
	require.Equal(t, formula.Starter().Products(), cat.Products(), "no file: the starter")

	write("[[product]]\nname = \"Frost\"\nkind = \"powder lightner\"\n")
	cat, err = e.catalogue()
	require.ErrorContains(t, err, file+":3: kind")
	require.ErrorContains(t, err, "starter catalogue in use")
	require.NotEmpty(t, cat.Products())

	write("[[product]]\nname = \"Frost\"\nkind = \"powder lightener\"\n")
	cat, err = e.catalogue()
	require.NoError(t, err)
	require.Len(t, cat.Products(), 1)

	write("[[product]]\nname = 7\n")
	cat, err = e.catalogue()
	require.ErrorContains(t, err, file+":2: name")
	require.ErrorContains(t, err, "last good catalogue in use")
	require.Len(t, cat.Products(), 1)
	require.Equal(t, "Frost", cat.Products()[0].Name)
}
