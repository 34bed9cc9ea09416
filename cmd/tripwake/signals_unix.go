//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// ignoreFileLimit lets a write beyond the user's limit of file sizes fail as one to a full disk does, instead of ending the
// program in the middle.
func ignoreFileLimit() { signal.Ignore(syscall.SIGXFSZ) }
