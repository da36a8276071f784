package journal_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"rinseby/session/journal"
	"rinseby/timing"
)

func Example() {
	dir, err := os.MkdirTemp("", "rinseby")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "tove.log")
	j, err := journal.Create(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	rec := journal.Normalise(journal.Record{
		Seq: 1, Kind: "service.opened", When: at,
		Recorded: timing.Reading{Wall: at.Add(120 * time.Millisecond), Boot: 5021337 * time.Millisecond, BootID: "4f1c"},
		Data:     json.RawMessage(`{"client": "Tove A."}`), // an invented client
	})
	if err := j.Append(rec); err != nil { // safe once this returns nil
		fmt.Println(err)
		return
	}
	if err := j.Close(); err != nil {
		fmt.Println(err)
		return
	}
	file, err := os.ReadFile(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(file))
	recs, tail, err := journal.ReadFile(path)
	fmt.Println(len(recs), tail, err)
	// Output:
	// {"format":"rinseby/1","seq":1,"kind":"service.opened","when":"2026-03-02T09:00:00.000Z","recorded":{"wall":"2026-03-02T09:00:00.120Z","boot":5021.337,"boot_id":"4f1c"},"data":{"client":"Tove A."},"crc":"a4da28da"}
	// 1 <nil> <nil>
}
