package main

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

// keyBytes is the length of the secret key that makes pseudonyms.
const keyBytes = 32

// keyFile is where the key lies: beside the store unless a setting says otherwise.
func (a *app) keyFile(store string) string {
	if a.settings.keyFile != "" {
		return a.settings.keyFile
	}
	return store + ".key"
}

// pseudonymKey reads the key, or makes one where there is none. It is kept outside the store, so that a store that is
// passed on does not give the pseudonyms away.
func pseudonymKey(path string) ([]byte, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		key := make([]byte, keyBytes)
		if _, err := rand.Read(key); err != nil {
			return nil, fmt.Errorf("key %s: %w", path, err)
		}
		return key, writeOwn(path, []byte(hex.EncodeToString(key)+"\n"))
	}
	if err != nil {
		return nil, fmt.Errorf("key %s: %w", path, err)
	}
	if info, err := os.Stat(path); err == nil && info.Mode().Perm()&0o077 != 0 {
		_ = os.Chmod(path, 0o600) // the key of another user cannot be shut, nor need it be
	}
	key, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(key) < keyBytes {
		return nil, fmt.Errorf("key %s: expected %d bytes in hex; restore the file, or remove it to start with new pseudonyms", path, keyBytes)
	}
	return key, nil
}
