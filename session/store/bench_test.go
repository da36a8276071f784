package store

import (
	"flag"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session/history"
	"rinseby/session/journal"
)

// many is how many closed services the benchmarks have: 40000 shows what a
// salon of ten chairs has after ten years.
var many = flag.Int("services", 400, "closed services of the benchmarks")

// crowded is a folder of closed services: the last ones of full length, before
// them copies of a short one, each with a line of its own in the summary.
func crowded(b *testing.B) string {
	s := newStore(b)
	short := visit(b, day{id: "short", stylist: "Sam", opened: at(0).Wall, piece: time.Minute, zones: 1})
	short = []journal.Record{short[0], short[len(short)-1]}
	short[1].Seq = 2
	for i := range *many - history.Most {
		later := time.Duration(i) * time.Hour
		lay(b, s.Dir(), renamed(b, short, fmt.Sprintf("20200101-0900-%05d", i), fmt.Sprint("client ", i), fmt.Sprint("Stylist ", i%7), later))
	}
	after := time.Duration(*many) * time.Hour
	for i := range history.Most {
		d := day{id: fmt.Sprintf("20300101-0900-%05d", i), stylist: "Ines", opened: at(0).Wall.Add(after + time.Duration(i)*24*time.Hour), piece: 80*time.Second + time.Duration(i)*time.Second, zones: 12}
		lay(b, s.Dir(), visit(b, d))
	}
	_, problems := list(b, s)
	require.Empty(b, problems)
	_, err := s.Usuals("Ines")
	require.NoError(b, err)
	return s.Dir()
}

// BenchmarkStart is what a start takes: the folder is opened, and the usual
// times of a stylist are read.
func BenchmarkStart(b *testing.B) {
	dir := crowded(b)
	for b.Loop() {
		s, err := Open(dir)
		require.NoError(b, err)
		u, err := s.Usuals("Ines")
		require.NoError(b, err)
		require.Equal(b, history.Most, u.Services)
	}
}

func BenchmarkOpen(b *testing.B) {
	dir := crowded(b)
	for b.Loop() {
		_, err := Open(dir)
		require.NoError(b, err)
	}
}

// BenchmarkList is the first listing of a process.
func BenchmarkList(b *testing.B) {
	dir := crowded(b)
	for b.Loop() {
		s := &Store{dir: dir}
		entries, _, err := s.List()
		require.NoError(b, err)
		require.Equal(b, *many, entries.Len())
	}
}

func BenchmarkLastOf(b *testing.B) {
	s := openStore(b, crowded(b))
	for b.Loop() {
		_, ok, err := s.LastOf("client 5")
		require.NoError(b, err)
		require.True(b, ok)
	}
}

// BenchmarkRebuild is a listing without any summary, which it makes anew. Most
// of the services are short ones.
func BenchmarkRebuild(b *testing.B) {
	dir := crowded(b)
	for b.Loop() {
		removeSummary(b, dir)
		_, _, err := (&Store{dir: dir}).List()
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*(*many)), "µs/service")
}

// BenchmarkRead is what each full service adds to that.
func BenchmarkRead(b *testing.B) {
	s := newStore(b)
	d := day{id: "full", stylist: "Ines", opened: at(0).Wall, piece: time.Minute, zones: 12}
	lay(b, s.Dir(), visit(b, d))
	for b.Loop() {
		_, err := s.Read("full")
		require.NoError(b, err)
	}
}

// BenchmarkLearn is what the usual times of a stylist take to be made of a
// plain folder of logs, all of which are read.
func BenchmarkLearn(b *testing.B) {
	dir := crowded(b)
	for b.Loop() {
		k, _, err := Past(filepath.Join(dir, closedFolder), "Ines")
		require.NoError(b, err)
		require.Equal(b, history.Most, k.Services)
	}
}

// BenchmarkForget takes one client's services out of that folder, and searches
// the rest for the name.
func BenchmarkForget(b *testing.B) {
	s := openStore(b, crowded(b))
	n := 0
	for b.Loop() {
		client := fmt.Sprint("client ", n%(*many-history.Most))
		n++
		all, err := s.Of(client)
		require.NoError(b, err)
		require.NoError(b, s.Forget(all...))
		_, problems, err := s.Mentions(client)
		require.NoError(b, err)
		require.Empty(b, problems)
	}
}
