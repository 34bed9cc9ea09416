package pipeline_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestOtherProcesses builds the program and runs it beside, and against, itself.
func TestOtherProcesses(t *testing.T) {
	binary := program(t)
	t.Setenv("TMPDIR", t.TempDir()) // a killed load cannot clear its scratch folder away
	t.Run("killed", func(t *testing.T) { killed(t, binary) })
	t.Run("second", func(t *testing.T) { second(t, binary) })
}

func program(t *testing.T) string {
	t.Helper()
	binary := filepath.Join(t.TempDir(), "tripwake")
	if out, err := exec.Command("go", "build", "-o", binary, "tripwake/cmd/tripwake").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	return binary
}

// run runs the program in a folder of its own and gives what it wrote and its exit code.
func run(t *testing.T, binary string, args ...string) (out, messages string, code int) {
	t.Helper()
	cmd := exec.Command(binary, args...)
	var o, m bytes.Buffer
	cmd.Stdout, cmd.Stderr, cmd.Dir = &o, &m, t.TempDir()
	err := cmd.Run()
	if err != nil && cmd.ProcessState == nil {
		t.Fatal(err)
	}
	return o.String(), m.String(), cmd.ProcessState.ExitCode()
}

// start starts a load that goes on by itself.
func start(t *testing.T, binary string, args ...string) (*exec.Cmd, <-chan error) {
	t.Helper()
	cmd := exec.Command(binary, args...)
	cmd.Dir = t.TempDir()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	return cmd, done
}

func files(t *testing.T, ledger string) (n int) {
	t.Helper()
	for _, line := range strings.Split(strings.TrimSpace(ledger), "\n") {
		var entry struct{ Read, Stored, Repeated, Refused int64 }
		if line == "" {
			continue
		}
		if err := json.Unmarshal([]byte(line), &entry); err != nil {
			t.Fatal(err)
		}
		if entry.Read != entry.Stored+entry.Repeated+entry.Refused {
			t.Errorf("out of balance: %s", line)
		}
		n++
	}
	return n
}

// killed: a load that is killed at any moment leaves a store that is as before or as after, and can be loaded into again.
func killed(t *testing.T, binary string) {
	exports, folder := filepath.Join(t.TempDir(), "exports"), t.TempDir()
	if _, messages, code := run(t, binary, "invent", "--out", exports, "--transports", "10", "--every", "2m"); code != 0 {
		t.Fatalf("invent: %s", messages)
	}
	began := time.Now()
	want, messages, code := run(t, binary, "load", exports, "--layout", filepath.Join(exports, "layout.yaml"), "--store", filepath.Join(folder, "whole.duckdb"), "--time-zone", "America/Chicago", "--format", "json")
	if code != 0 {
		t.Fatalf("load: %s", messages)
	}
	took := time.Since(began)
	all := files(t, want)
	random := rand.New(rand.NewPCG(9, 10))
	for i := range 3 {
		path := filepath.Join(folder, "killed.duckdb")
		os.Remove(path)
		os.Remove(path + ".wal")
		cmd, done := start(t, binary, "load", exports, "--layout", filepath.Join(exports, "layout.yaml"), "--store", path, "--time-zone", "America/Chicago")
		after := took * time.Duration(20+25*i+random.IntN(25)) / 100
		time.Sleep(after)
		if err := cmd.Process.Kill(); err != nil {
			t.Logf("ended before %v", after)
		}
		<-done
		checkWholeOrEmpty(t, binary, path, all)
		if i < 2 {
			continue
		}
		if out, messages, code := run(t, binary, "load", exports, "--layout", filepath.Join(exports, "layout.yaml"), "--store", path, "--time-zone", "America/Chicago", "--format", "json"); code != 0 || files(t, out) != all {
			t.Errorf("loading again after a kill at %v: code %d, %s", after, code, messages)
		}
	}
}

func checkWholeOrEmpty(t *testing.T, binary, path string, all int) {
	t.Helper()
	ledger, messages, code := run(t, binary, "ledger", "--store", path, "--format", "json")
	if code != 0 {
		if _, err := os.Stat(path); err == nil {
			t.Errorf("the store of a killed load cannot be opened: %s", messages)
		}
		return
	}
	if n := files(t, ledger); n != 0 && n != all {
		t.Errorf("%d of %d files are in the ledger: the store is neither as before nor as after", n, all)
	}
}

// second: while one process writes, a second gets one clear line.
func second(t *testing.T, binary string) {
	st := newStore(t)
	for _, args := range [][]string{{"load", folder(t, "transports.csv", "transport_id\nT1\n")}, {"ledger"}, {"measure"}} {
		_, messages, code := run(t, binary, append(args, "--store", st.Path())...)
		if code != 1 || strings.Count(messages, "\n") != 1 || !strings.Contains(messages, "another tripwake is writing or reading it") {
			t.Errorf("%s: code %d, %q", args[0], code, messages)
		}
	}
}
