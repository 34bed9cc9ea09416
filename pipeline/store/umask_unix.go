//go:build unix

package store

import "syscall"

// restrictNewFiles makes every file that this process creates from now on readable by its owner alone: the engine gives
// no way to set the mode of the database, of its log or of spilled data.
func restrictNewFiles() { syscall.Umask(0o077) }
