//go:build linux

package light_test

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	table    = flag.Bool("table", false, "measure, and print the table")
	services = flag.String("services", "4000,40000", "sizes of the store to be tried, with commas between")
)

// A row is one line of the table.
type row struct{ what, ours, bare, ratio, reach string }

// TestTable prints the table of what rinseby costs.
func TestTable(t *testing.T) {
	if !*table {
		t.Skip("it takes minutes: -table")
	}
	bins := build(t)
	var rows []row
	rows = append(rows, frames(t, bins)...)
	rows = append(rows, idle(t, bins)...)
	rows = append(rows, benches(t)...)
	rows = append(rows, stores(t, bins)...)
	rows = append(rows, sizes(t, bins)...)
	var out strings.Builder
	fmt.Fprintf(&out, "Measured on %s, %s; medians.\n\n| what | rinseby | the least | ratio | reach |\n| --- | --- | --- | --- | --- |\n", machine(), runtime.Version())
	for _, r := range rows {
		fmt.Fprintf(&out, "| %s | %s | %s | %s | %s |\n", r.what, r.ours, r.bare, r.ratio, r.reach)
	}
	fmt.Println(out.String())
}

// machine names the processor.
func machine() string {
	text, _ := os.ReadFile("/proc/cpuinfo")
	name := "an unknown processor"
	for line := range strings.SplitSeq(string(text), "\n") {
		if k, v, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(k) == "model name" {
			name = strings.TrimSpace(v)
		}
	}
	return fmt.Sprintf("%s, %d cores, %s", name, runtime.NumCPU(), runtime.GOOS)
}

// binaries are the programs that are measured.
type binaries struct{ rinseby, stripped, empty string }

func build(t *testing.T) binaries {
	dir := t.TempDir()
	b := binaries{filepath.Join(dir, "rinseby"), filepath.Join(dir, "stripped"), filepath.Join(dir, "empty")}
	for _, args := range [][]string{
		{"build", "-o", b.rinseby, "rinseby/cmd/rinseby"},
		{"build", "-trimpath", "-ldflags", "-s -w", "-o", b.stripped, "rinseby/cmd/rinseby"},
		{"build", "-o", b.empty, "rinseby/cmd/internal/light/empty"},
	} {
		text, err := exec.Command("go", args...).CombinedOutput()
		require.NoError(t, err, "%s", text)
	}
	return b
}

func sizes(t *testing.T, b binaries) []row {
	info, err := os.Stat(b.stripped)
	require.NoError(t, err)
	return []row{{"program, stripped", fmt.Sprintf("%.1f MB", float64(info.Size())/1e6), "", "", "20 MB"}}
}

// median is the middle of some figures.
func median(all []float64) float64 {
	all = slices.Sorted(slices.Values(all))
	return all[len(all)/2]
}

func ratio(ours, bare float64) string { return fmt.Sprintf("%.2f", ours/bare) }
