//go:build recompute

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Fresh cases, invented and recomputed now: the same as the committed ones, with other seeds and more transports.
func TestRecompute(t *testing.T) {
	for _, seed := range []string{"101", "102", "103"} {
		t.Run("seed "+seed, func(t *testing.T) {
			folder := t.TempDir()
			make := exec.Command("python3", filepath.Join("..", "..", "testdata", "recompute", "make_case.py"), "--one", seed, folder)
			make.Stderr = os.Stderr
			if err := make.Run(); err != nil {
				t.Fatalf("the second implementation failed: %v", err)
			}
			holdToCase(t, folder)
			replays, err := exec.Command("python3", filepath.Join("..", "..", "testdata", "recompute", "purchases.py"), filepath.Join(folder, "in")).Output()
			if err != nil {
				t.Fatalf("the second implementation failed: %v", err)
			}
			p := newPlace(t, wholeZone)
			p.good("load", filepath.Join(folder, "in"))
			holdPurchase(t, p, string(replays))
		})
	}
}
