//go:build unix

package main

import (
	"os/exec"
	"syscall"
)

// alone starts a command in a process group of its own: keys that end programs
// don't reach it, and when it is ended so is what it started.
func alone(c *exec.Cmd) {
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	c.Cancel = func() error { return syscall.Kill(-c.Process.Pid, syscall.SIGKILL) }
}
