package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"

	"filippo.io/age"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/replay"
)

// opened is what an encrypted file holds for somebody.
func opened(t *testing.T, path string, who age.Identity) ([]byte, error) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	r, err := age.Decrypt(bytes.NewReader(text), who)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

func TestExportEncrypted(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("first", "Ines", 0, 2, true))
	journal, err := os.ReadFile(filepath.Join(d.data, "closed", "first.jsonl"))
	require.NoError(t, err)
	one, err := age.GenerateX25519Identity()
	require.NoError(t, err)
	two, err := age.GenerateX25519Identity()
	require.NoError(t, err)
	other, err := age.GenerateX25519Identity()
	require.NoError(t, err)

	out := filepath.Join(t.TempDir(), "first.age")
	require.Zero(t, d.run("export", "first", "--to", one.Recipient().String(), "--to", two.Recipient().String(), "--output", out), d.err.String())
	assert.Empty(t, d.out.String())
	info, err := os.Stat(out)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	cipher, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.NotContains(t, string(cipher), "June")
	for _, who := range []age.Identity{one, two} {
		got, err := opened(t, out, who)
		require.NoError(t, err)
		assert.Equal(t, string(journal), string(got), "byte for byte")
	}
	_, err = opened(t, out, other)
	require.Error(t, err, "nobody else can read it")

	again := filepath.Join(t.TempDir(), "again.jsonl")
	text, err := opened(t, out, one)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(again, text, 0o600))
	require.Zero(t, d.run("verify", again), d.err.String())

	quantum, err := age.GenerateHybridIdentity()
	require.NoError(t, err)
	out = filepath.Join(t.TempDir(), "both.age")
	require.Zero(t, d.run("export", "first", "--redact", "--to", quantum.Recipient().String(), "-o", out), d.err.String())
	got, err := opened(t, out, quantum)
	require.NoError(t, err)
	assert.Contains(t, string(got), replay.RedactedDay.Format("2006-01-02"))
	assert.NotContains(t, string(got), "June")
}

func TestExportRefuses(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("first", "Ines", 0, 2, true))
	key, err := age.GenerateX25519Identity()
	require.NoError(t, err)
	to, there := key.Recipient().String(), filepath.Join(t.TempDir(), "there")
	require.NoError(t, os.WriteFile(there, []byte("mine"), 0o600))
	quantum, err := age.GenerateHybridIdentity()
	require.NoError(t, err)
	for _, test := range []struct {
		args []string
		says string
	}{
		{nil, "only exported without them (--redact) or encrypted (--to RECIPIENT)"},
		{[]string{"--output", there + "2"}, "only exported without them"},
		{[]string{"--to", to}, "name a file for it, with --output FILE.age"},
		{[]string{"--to", to, "--redact"}, "name a file for it"},
		{[]string{"--to", to, "-o", there}, "is there already: name a new file"},
		{[]string{"--to", "age1nonsense", "-o", there + "2"}, "this is no recipient"},
		{[]string{"--to", to + "\n" + to, "-o", there + "2"}, "this is no recipient"},
		{[]string{"--to", "ssh-ed25519 AAAA", "-o", there + "2"}, "this is no recipient"},
		{[]string{"--to", "", "-o", there + "2"}, "this is no recipient"},
		{[]string{"--to", key.String(), "-o", there + "2"}, "that is a secret key"},
		{[]string{"--to", to, "--to", quantum.Recipient().String(), "-o", there + "2"}, "export once for each"},
	} {
		assert.Equal(t, 1, d.run(append([]string{"export", "first"}, test.args...)...), test.args)
		assert.Contains(t, d.err.String(), test.says)
		assert.NotContains(t, d.err.String()+d.out.String(), key.String(), "a secret key is never repeated")
		assert.NotContains(t, d.out.String(), "June")
		assert.NoFileExists(t, there+"2")
	}
	text, err := os.ReadFile(there)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(text))
}
