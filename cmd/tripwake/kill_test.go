//go:build kill

package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// rounds is how many loads are killed: half of them at moments spread over the whole load, half once the engine has begun to
// write what the load changes.
const rounds = 200

// A load that is killed at any moment leaves a store that opens, that is as before or as after, and that takes the load again.
func TestKilledLoads(t *testing.T) {
	k := newKilling(t)
	ended := map[string]int{}
	random := rand.New(rand.NewPCG(31, 32))
	for i := range rounds {
		name := fmt.Sprintf("%d.duckdb", i)
		fresh := i%4 == 3
		if !fresh {
			k.write(name, k.read("before.duckdb"))
		}
		how := k.kill(name, i, random)
		if state := k.state(name, fresh); state != "" {
			ended[state]++
		} else {
			t.Errorf("round %d, killed %s: the store is neither as before nor as after", i, how)
		}
		k.again(name, how, fresh)
		if t.Failed() {
			t.FailNow()
		}
		k.forget(name)
	}
	t.Logf("left as before %d, as after %d, not begun %d", ended["before"], ended["after"], ended["not begun"])
	if ended["before"] < rounds/10 || ended["after"] < rounds/10 {
		t.Errorf("%v: the moments do not cover the whole load", ended)
	}
}

// killing is a place with two loads: the first is in the store before, the second is killed.
type killing struct {
	*place
	took          time.Duration
	before, after string // the ledger without and with the second load
	alone         string // the ledger of the second load alone
}

func newKilling(t *testing.T) *killing {
	t.Helper()
	k := &killing{place: newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago", "TRIPWAKE_THREADS=1")}
	for i := range 4 {
		day := fmt.Sprintf("2026-03-%02d", i+1)
		transport := fmt.Sprintf("transport_id,vehicle,ventilator_id,accepted_at,departed_base_at,available_at\nT%d,rotor,V1,%[2]s 09:00,%[2]s 09:20,%[2]s 13:00\n,rotor,,,,\n", i, day)
		folder := []string{"first", "second"}[i%2]
		k.write(fmt.Sprintf("%s/transports-%d.csv", folder, i), transport)
		k.write(fmt.Sprintf("%s/readings-%d.csv", folder, i), readingsOf(day))
	}
	k.write("second/readings-0.csv", k.read("first/readings-0.csv"))                                            // repeated
	k.write("second/transports-9.csv", strings.Replace(k.read("first/transports-0.csv"), "rotor", "ground", 1)) // a correction
	k.good("load", "first", "--store", "before.duckdb")
	k.before = k.good("ledger", "--store", "before.duckdb", "--format", "json")
	k.write("after.duckdb", k.read("before.duckdb"))
	began := time.Now()
	k.good("load", "second", "--store", "after.duckdb")
	k.took = time.Since(began)
	k.after = k.good("ledger", "--store", "after.duckdb", "--format", "json")
	k.good("load", "second", "--store", "alone.duckdb")
	k.alone = k.good("ledger", "--store", "alone.duckdb", "--format", "json")
	return k
}

// readingsOf is a monitor's log of half an hour.
func readingsOf(day string) string {
	var b strings.Builder
	b.WriteString("device_id,recorded_at,quantity,value\n")
	for second := range 1800 {
		fmt.Fprintf(&b, "V1,%s 10:%02d:%02d,spo2,%d\n", day, second/60, second%60, 90+second%10)
	}
	return b.String()
}

// kill begins the second load and kills it; how says at which moment.
func (k *killing) kill(name string, round int, random *rand.Rand) (how string) {
	k.t.Helper()
	cmd := exec.Command(os.Args[0], "load", "second", "--store", name)
	cmd.Dir, cmd.Env = k.dir, k.environment()
	if err := cmd.Start(); err != nil {
		k.t.Fatal(err)
	}
	done := make(chan struct{})
	go func() { _ = cmd.Wait(); close(done) }()
	after := time.Duration(1.5 * random.Float64() * float64(k.took))
	how = fmt.Sprintf("after %v", after)
	if round%2 == 1 {
		k.writing(name, done)
		after = time.Duration(random.Float64() * float64([]time.Duration{time.Millisecond, 5 * time.Millisecond, 40 * time.Millisecond}[round/2%3]))
		how = fmt.Sprintf("%v after the first write", after)
	}
	select {
	case <-time.After(after):
	case <-done:
	}
	_ = cmd.Process.Kill() // one that has ended needs none
	<-done
	return how
}

// writing waits until the engine has begun to write changes into the store or its log, or the load has ended.
func (k *killing) writing(name string, done <-chan struct{}) {
	log := filepath.Join(k.dir, name+".wal")
	for {
		select {
		case <-done:
			return
		default:
		}
		if info, err := os.Stat(log); err == nil && info.Size() > 0 {
			return
		}
	}
}

// state says which of the states that are allowed the store is in, or nothing.
func (k *killing) state(name string, fresh bool) string {
	k.t.Helper()
	got := k.run("ledger", "--store", name, "--format", "json")
	switch {
	case got.code == 0 && !fresh && got.out == k.before, got.code == 0 && fresh && got.out == "":
		return "before"
	case got.code == 0 && !fresh && got.out == k.after, got.code == 0 && fresh && got.out == k.alone:
		return "after"
	case fresh && got.code == exitFailed && strings.Contains(got.messages, "load exports first"):
		return "not begun"
	}
	k.t.Errorf("exit %d, %s%s", got.code, got.messages, got.out)
	return ""
}

// again loads the killed files again: each table then holds what it holds without a kill, and nothing is left beside the store.
func (k *killing) again(name, how string, fresh bool) {
	k.t.Helper()
	got := k.run("load", "second", "--store", name)
	if got.code != 0 {
		k.t.Errorf("killed %s: loading again: exit %d, %s", how, got.code, got.messages)
		return
	}
	want := k.after
	if fresh {
		want = k.alone
	}
	if has, should := storedBy(k.t, k.good("ledger", "--store", name, "--format", "json")), storedBy(k.t, want); has != should {
		k.t.Errorf("killed %s: loaded again the store has %s, want %s", how, has, should)
	}
	left, err := filepath.Glob(filepath.Join(k.dir, name+".*"))
	if err != nil || len(left) > 0 {
		k.t.Errorf("killed %s and loaded again: left %v, %v", how, left, err)
	}
}

// storedBy adds up the rows stored by table.
func storedBy(t *testing.T, ledger string) string {
	t.Helper()
	stored := map[string]int{}
	for _, line := range objects[ledgerLine](t, ledger) {
		if line.Read != line.Stored+line.Repeated+line.Refused {
			t.Errorf("out of balance: %+v", line)
		}
		stored[line.Table] += line.Stored
	}
	return fmt.Sprint(stored)
}

func (k *killing) forget(name string) {
	k.t.Helper()
	if err := os.Remove(filepath.Join(k.dir, name)); err != nil {
		k.t.Error(err)
	}
}
