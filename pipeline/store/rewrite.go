package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Rewrite copies the store into a new file and puts that in its place, so that no byte of a deleted row is left in the file.
// The store must not be open. The new file takes the old one's name in one step: killed at any moment, the store is
// as before or as after, and what a killed rewriting left behind goes with the next.
//
// What the file system keeps of freed blocks, and copies of the file elsewhere, are beyond it.
func Rewrite(ctx context.Context, path string, o Options) error {
	made := path + ".rewritten"
	if err := removeAll(made, made+".wal"); err != nil {
		return err
	}
	if err := copyTo(ctx, path, made, o); err != nil {
		return errors.Join(fmt.Errorf("store %s: could not be rewritten: %w; it is as before", path, err), removeAll(made, made+".wal"))
	}
	if err := synced(made); err != nil {
		return err
	}
	if err := os.Rename(made, path); err != nil {
		return fmt.Errorf("store %s: %w", path, err)
	}
	if err := removeAll(path+".wal", path+".scratch", path+".plain"); err != nil {
		return err
	}
	return synced(filepath.Dir(path))
}

func copyTo(ctx context.Context, path, made string, o Options) (err error) {
	s, err := Open(ctx, path, o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	_, err = s.Engine(ctx).Exec("checkpoint", fmt.Sprintf("attach %s as fresh_copy (read_write)", Literal(made)),
		"copy from database tripwake to fresh_copy", "checkpoint fresh_copy", "detach fresh_copy")
	return err
}

func removeAll(paths ...string) error {
	for _, path := range paths {
		if err := os.RemoveAll(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: %w", path, err)
		}
	}
	return nil
}

// synced waits until a file or folder is on the disk.
func synced(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
