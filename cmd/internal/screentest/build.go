//go:build unix

package screentest

import (
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"sync"
	"testing"
)

// builds are the programs built by this process, under one temporary folder.
var builds struct {
	sync.Mutex
	dir  string
	done map[string]string // package → program
}

// Build builds the main package pkg, named by its import path or a path from
// the folder of the test, and returns the program's file. It does so once for
// each package and test process. The test package's TestMain calls [Clean] to
// remove the files.
func Build(t testing.TB, pkg string) string {
	t.Helper()
	builds.Lock()
	defer builds.Unlock()
	if bin, ok := builds.done[pkg]; ok {
		return bin
	}
	if builds.dir == "" {
		dir, err := os.MkdirTemp("", "screentest")
		if err != nil {
			t.Fatalf("make a folder to build %s in: %v", pkg, err)
		}
		builds.dir, builds.done = dir, map[string]string{}
	}
	dir, err := os.MkdirTemp(builds.dir, "build")
	if err != nil {
		t.Fatalf("make a folder to build %s in: %v", pkg, err)
	}
	bin := filepath.Join(dir, path.Base(pkg))
	if out, err := exec.Command("go", "build", "-o", bin, pkg).CombinedOutput(); err != nil {
		t.Fatalf("build %s: %v\n%s", pkg, err, out)
	}
	builds.done[pkg] = bin
	return bin
}

// Clean removes what [Build] has built:
//
//	func TestMain(m *testing.M) {
//		defer screentest.Clean()
//		m.Run()
//	}
func Clean() {
	builds.Lock()
	defer builds.Unlock()
	if builds.dir != "" {
		_ = os.RemoveAll(builds.dir)
	}
	builds.dir, builds.done = "", nil
}
