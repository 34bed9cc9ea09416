package pipeline_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline"
)

const (
	twoTransports = "transport_id,ventilator_id,accepted_at,available_at\nT1,V1,2026-03-01 09:00,2026-03-01 12:00\nT2,V2,2026-03-01 09:00,2026-03-01 12:00\n"
	raggedPower   = "device_id,recorded_at,source\nV1,2026-03-01 10:00,battery\nV1,2026-03-01 10:10\nV1,x,battery\n"
)

// A load that fails on its last file leaves the store as it was, and the next load is not disturbed by what it staged.
func TestAFailedLoadLeavesTheStoreAsBefore(t *testing.T) {
	for name, broken := range map[string]string{
		"open quote":      "device_id,recorded_at,quantity,value\nV1,\"2026-03-01 10:00:00,spo2,95\n",
		"repeated column": "device_id,device_id\n1,2\n",
		"zero bytes":      "device_id\x00,recorded_at,quantity,value\n",
	} {
		t.Run(name, func(t *testing.T) {
			st := newStore(t)
			load(t, st, "transports.csv", twoTransports)
			before := content(t, st)
			dir := folder(t, "power.csv", raggedPower, "readings-z.csv", broken, "transports.csv", strings.ReplaceAll(twoTransports, "V1", "V9"))
			_, err := pipeline.Load(t.Context(), st, []string{dir}, options())
			if err == nil || !strings.Contains(err.Error(), "readings-z.csv") || !strings.Contains(err.Error(), "nothing was stored") || strings.Contains(err.Error(), "\n") {
				t.Errorf("%v: want one line that names readings-z.csv and says that nothing was stored", err)
			}
			if after := content(t, st); after != before {
				t.Errorf("the store changed\n%s\nwas\n%s", after, before)
			}
			wantCounts(t, load(t, st, "power.csv", raggedPower), "power.csv 3=1+0+2 s0")
			wantCounts(t, load(t, st, "events.csv", "transport_id,kind\nT1\nT1,other\n"), "events.csv 2=1+0+1 s0")
		})
	}
}

// A load that is interrupted leaves the store as it was, whichever step it had reached.
func TestACancelledLoadLeavesTheStoreAsBefore(t *testing.T) {
	dir := folder(t, "transports.csv", strings.ReplaceAll(twoTransports, "T1", "T3"), "power.csv", raggedPower, "readings.csv", readingsHead+reading1)
	for _, stop := range []int{0, 5, 7, 11, 12} {
		st := newStore(t)
		load(t, st, "transports.csv", twoTransports)
		before := content(t, st)
		ctx, cancel := context.WithCancel(t.Context())
		step := 0
		o := options()
		o.Progress = func(string, int64, int64) {
			if step++; step > stop {
				cancel()
			}
		}
		_, err := pipeline.Load(ctx, st, []string{dir}, o)
		cancel()
		if step > stop && err == nil || step <= stop && err != nil {
			t.Errorf("stopped after step %d of %d: %v", stop, step, err)
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("error of more than a line: %v", err)
		}
		if after := content(t, st); err != nil && after != before {
			t.Errorf("stopped after step %d: the store changed", stop)
		}
		loadPaths(t, st, dir)
	}
}

// The scratch folder, which holds patients' records, goes with the load; what a killed load left goes with the next.
func TestNothingIsLeftInTheScratchFolder(t *testing.T) {
	st := newStore(t)
	if err := os.MkdirAll(st.Path()+".plain/left", 0o700); err != nil {
		t.Fatal(err)
	}
	load(t, st, "transports.csv", "\xef\xbb\xbf"+twoTransports)
	if _, err := pipeline.Load(t.Context(), st, []string{folder(t, "transports.csv", "\xef\xbb\xbftransport_id,team\nT1,\"x\n")}, options()); err == nil {
		t.Error("an open quote was read")
	}
	left, err := filepath.Glob(st.Path() + ".*")
	if err != nil || slices.ContainsFunc(left, func(file string) bool { return file != st.Path()+".wal" }) {
		t.Errorf("left %v, %v", left, err)
	}
}
