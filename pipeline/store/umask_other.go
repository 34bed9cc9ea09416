//go:build !unix

package store

// restrictNewFiles does nothing where files inherit their access from the folder.
func restrictNewFiles() {}
