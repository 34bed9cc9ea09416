//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// child prepares the program as a process of its own that a test starts by itself.
func (p *place) child(args ...string) (*exec.Cmd, *bytes.Buffer) {
	p.t.Helper()
	var messages bytes.Buffer
	cmd := exec.Command(os.Args[0], args...)
	cmd.Dir, cmd.Env, cmd.Stderr = p.dir, p.environment(), &messages
	return cmd, &messages
}

// oneClearLine holds a run to a failure in one line that holds one of the words.
func oneClearLine(t *testing.T, what string, code int, messages string, words ...string) {
	t.Helper()
	found := len(words) == 0
	for _, word := range words {
		found = found || strings.Contains(messages, word)
	}
	if code != exitFailed || !found || strings.Count(messages, "\n") != 1 || !strings.HasPrefix(messages, "tripwake: ") || len(messages) > 600 {
		t.Errorf("%s: exit %d, %.600q, want exit 1 and one line with one of %q", what, code, messages, words)
	}
}

// While a load is under way every other command says so in one line, and the load is not disturbed.
func TestCommandsDuringALoad(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	var log strings.Builder
	log.WriteString("device_id,recorded_at,quantity,value\n")
	for i := range 60_000 {
		fmt.Fprintf(&log, "V1,2026-01-05 %02d:%02d:%02d,spo2,97\n", i/3600, i/60%60, i%60)
	}
	p.write("in/readings.csv", log.String())
	met := 0
	others := [][]string{{"load", "in"}, {"measure"}, {"ledger"}, {"query", "select 1"}, {"report", "committee"}, {"load", "--undo", "1"}}
	for i := range 20 {
		store := fmt.Sprintf("%d.duckdb", i)
		first, messages := p.child("load", "in", "--store", store)
		if err := first.Start(); err != nil {
			t.Fatal(err)
		}
		p.waitFor(store + ".plain")
		args := append(others[i%len(others)], "--store", store)
		second := p.run(args...)
		if err := first.Wait(); err != nil {
			t.Errorf("the first load: %v, %s", err, messages)
		}
		if second.code != 0 {
			met++
			oneClearLine(t, strings.Join(args, " "), second.code, second.messages, "another tripwake is writing or reading it")
		}
		if got := p.ledgerOf("ledger", "--store", store)["readings.csv"]; got.Stored != 60_000 {
			t.Errorf("%v during a load: the load left %+v", args, got)
		}
	}
	if met < 15 {
		t.Errorf("only %d of 20 commands met a load", met)
	}
}

func (p *place) waitFor(name string) {
	p.t.Helper()
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(time.Millisecond) {
		if _, err := os.Stat(filepath.Join(p.dir, name)); err == nil {
			return
		}
	}
	p.t.Fatalf("%s: did not come", name)
}

// A disk that is full, as a limit of file sizes makes one, ends a load in one line; the store opens and is as before or after.
func TestFullDisk(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.write("more/transports.csv", strings.ReplaceAll(goodTransports, "T1", "T2"))
	var log strings.Builder
	log.WriteString("device_id,recorded_at,quantity,value\n")
	for i := range 40_000 {
		fmt.Fprintf(&log, "V%d,2026-01-05 %02d:%02d:%02d,spo2,%d\n", i%7, i/3600, i/60%60, i%60, (i*7919)%101)
	}
	p.write("more/readings.csv", log.String())
	p.good("load", "in")
	before := p.read(defaultStore)
	failed := 0
	for _, blocks := range []int{0, 1, 64, 512, 1024, 1600, 2400, 3200, 3600, 4800, 6400, 100_000} {
		p.write(defaultStore, before)
		was := p.good("ledger", "--format", "json")
		cmd, messages := p.child()
		cmd.Path, cmd.Args = "/bin/sh", []string{"sh", "-c", fmt.Sprintf("ulimit -f %d; exec \"$0\" \"$@\"", blocks), os.Args[0], "load", "more"}
		if err := cmd.Run(); err != nil {
			failed++
			oneClearLine(t, fmt.Sprintf("limit of %d blocks", blocks), cmd.ProcessState.ExitCode(), messages.String(), "store", "scratch", "engine", "write", "space")
			if now := p.good("ledger", "--format", "json"); now != was && strings.Count(now, "\n") != 3 {
				t.Errorf("limit of %d blocks: the ledger is %s, was %s", blocks, now, was)
			}
		}
		p.good("load", "more")
	}
	if failed < 3 {
		t.Errorf("only %d loads met the limit", failed)
	}
}

// asNobody runs the program as a user who owns nothing: root may write everywhere.
func (p *place) asNobody(args ...string) outcome {
	p.t.Helper()
	cmd, messages := p.child(args...)
	var out bytes.Buffer
	cmd.Stdout = &out
	if os.Getuid() == 0 {
		program, err := os.Open(os.Args[0])
		if err != nil {
			p.t.Fatal(err)
		}
		defer program.Close()
		cmd.ExtraFiles, cmd.Path = []*os.File{program}, "/proc/self/fd/3" // the folder of the test program is root's alone
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	if err := cmd.Run(); err != nil && cmd.ProcessState == nil {
		p.t.Fatalf("the program could not be run as a user without rights, which this test needs (root, or any other user on Linux): %v", err)
	}
	return outcome{cmd.ProcessState.ExitCode(), out.String(), messages.String()}
}

// Folders and files that cannot be written or read: one line each; questions of a store that can only be read are answered.
func TestWithoutRights(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.good("load", "in")
	p.write("shut/a.duckdb", p.read(defaultStore))
	p.write("open/secret.duckdb", "x")
	modes := map[string]os.FileMode{".": 0o755, "..": 0o755, "in": 0o755, "in/transports.csv": 0o644, "shut": 0o555, "shut/a.duckdb": 0o444,
		"open": 0o777, "open/secret.duckdb": 0o000}
	for name, mode := range modes {
		if err := os.Chmod(filepath.Join(p.dir, name), mode); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { _ = os.Chmod(filepath.Join(p.dir, "shut"), 0o700) }) // so that it can be removed
	for _, ask := range [][]string{{"ledger"}, {"measure", "mobilization_time"}, {"query", "select count(*) from transports"}, {"ledger", "--loads"}} {
		if got := p.asNobody(append(ask, "--store", "shut/a.duckdb")...); got.code != 0 || got.out == "" {
			t.Errorf("%v of a store that can only be read: exit %d, %s", ask, got.code, got.messages)
		}
	}
	for _, c := range []struct {
		word string
		args []string
	}{
		{"shut/a.duckdb", []string{"load", "in", "--store", "shut/a.duckdb"}},
		{"shut/a.duckdb", []string{"load", "--undo", "1", "--store", "shut/a.duckdb"}},
		{"shut/new.duckdb", []string{"load", "in", "--store", "shut/new.duckdb"}},
		{"open/secret.duckdb", []string{"ledger", "--store", "open/secret.duckdb"}},
		{"open/secret.duckdb", []string{"load", "in", "--store", "open/secret.duckdb"}},
		{"ermission", []string{"report", "committee", "--out", "shut/reports", "--store", "shut/a.duckdb"}},
		{"ermission", []string{"ledger", "--refused", "shut/mend", "--store", "shut/a.duckdb"}},
		{"ermission", []string{"invent", "--out", "shut/invented"}},
		{"secret.duckdb", []string{"load", "open/secret.duckdb", "--store", "open/b.duckdb"}},
	} {
		got := p.asNobody(c.args...)
		oneClearLine(t, strings.Join(c.args, " "), got.code, lastLine(got.messages), c.word)
	}
	for _, name := range []string{"shut/new.duckdb", "shut/a.duckdb.wal"} {
		if _, err := os.Stat(filepath.Join(p.dir, name)); err == nil {
			t.Errorf("%s was made", name)
		}
	}
}

// lastLine is what a command said last: before it fails it may have said what it had done.
func lastLine(messages string) string {
	lines := strings.SplitAfter(messages, "\n")
	if len(lines) < 2 {
		return messages
	}
	return lines[len(lines)-2]
}

// A store that is cut off or whose bytes were changed never ends the program but in one line.
func TestDamagedStores(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.write("in/readings.csv", badReadings)
	p.good("load", "in", "--store", "whole.duckdb")
	whole := p.read("whole.duckdb")
	random := rand.New(rand.NewPCG(41, 42))
	damaged := map[string]string{"zeros": strings.Repeat("\x00", len(whole)), "zeroed head": strings.Repeat("\x00", 4096) + whole[4096:]}
	for _, size := range []int{1, 8, 4095, 4096, 8192, 12288, 12289, len(whole) / 2, len(whole) - 1} {
		damaged[fmt.Sprintf("cut at %d", size)] = whole[:size]
	}
	for i := range 8 {
		bytes := []byte(whole)
		for range 1 + 40*(i%2) {
			bytes[random.IntN(len(bytes))] ^= byte(1 + random.IntN(255))
		}
		damaged[fmt.Sprintf("changed %d", i)] = string(bytes)
	}
	refused := 0
	for how, text := range damaged {
		for _, args := range [][]string{{"ledger"}, {"measure"}, {"load", "in"}} {
			p.write("a.duckdb", text)
			got := p.run(append(args, "--store", "a.duckdb")...)
			if got.code != 0 {
				refused++
				oneClearLine(t, fmt.Sprintf("%s of a store %s", args[0], how), got.code, lastLine(got.messages), "a.duckdb")
			}
			_ = os.Remove(filepath.Join(p.dir, "a.duckdb.wal"))
		}
	}
	if refused < len(damaged) {
		t.Errorf("only %d refusals of %d damaged stores", refused, len(damaged))
	}
}

// What cannot be a store at all.
func TestStoresThatAreNoFiles(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	for name, make := range map[string]func(path string) error{
		"folder":   func(path string) error { return os.Mkdir(path, 0o700) },
		"loop":     func(path string) error { return os.Symlink(path, path) },
		"dangling": func(path string) error { return os.Symlink(path+"/nowhere", path) },
		"pipe":     func(path string) error { return syscall.Mkfifo(path, 0o600) },
		"device":   func(path string) error { return os.Symlink("/dev/null", path) },
		"below":    func(path string) error { return os.Symlink(p.dir+"/in/transports.csv", path) },
	} {
		if err := make(filepath.Join(p.dir, name)); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"ledger"}, {"measure"}, {"load", "in"}, {"query", "select 1"}} {
			got := p.run(append(args, "--store", name)...)
			oneClearLine(t, args[0]+" "+name, got.code, got.messages, name)
		}
	}
	if p.read("in/transports.csv") != goodTransports {
		t.Error("a file that is no store was changed")
	}
}
