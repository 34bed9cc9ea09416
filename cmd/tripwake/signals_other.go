//go:build !unix

package main

// ignoreFileLimit does nothing where there is no limit of file sizes.
func ignoreFileLimit() {}
