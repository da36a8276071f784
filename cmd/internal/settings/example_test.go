package settings_test

import (
	"fmt"
	"os"
	"path/filepath"

	"rinseby/cmd/internal/settings"
)

func Example() {
	dir, err := os.MkdirTemp("", "settings-example-")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, settings.FileName)
	text := "stylist = \"Ines\" # invented\ntheme = \"drak\"\nframes = 30\n"
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		fmt.Println(err)
		return
	}
	environment := map[string]string{"RINSEBY_FRAMES": "12"}
	l := settings.Load(settings.Source{File: file, Getenv: func(name string) string { return environment[name] }})
	fmt.Println(l.Stylist, l.Theme, l.Frames)
	for _, p := range l.Problems {
		fmt.Println(p.Brief())
	}
	// Output:
	// Ines auto 12
	// settings.toml:2: theme = "drak": give auto, dark or light
}
