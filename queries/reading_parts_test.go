package queries

import "testing"

// With two rows at a time each of the three transports is a range of its own, and every answer of a replay is as before.
func TestReplayInPartsIsTheSame(t *testing.T) {
	whole := readingsAtOnce
	t.Cleanup(func() { readingsAtOnce = whole })
	for _, tied := range []bool{false, true} {
		f, all := replayFixture(t, tied)
		r := f.reader()
		g := Grid{Quantity: "pip", High: true, Lowest: -0.5, Step: 0.5, Steps: 27}
		readingsAtOnce = whole
		want, err := r.Replay(t.Context(), g)
		if err != nil {
			t.Fatal(err)
		}
		readingsAtOnce = 2
		parts, err := r.readingParts(t.Context(), "", "", readingsAtOnce, false, "pip")
		if err != nil || len(parts) != 3 || parts[0].from.String != "A" || parts[2].to.String != "C" {
			t.Fatalf("got %v, %v: want A, B and C alone", parts, err)
		}
		got, err := r.Replay(t.Context(), g)
		if err != nil || len(got) != len(want) {
			t.Fatalf("got %d limits, %v", len(got), err)
		}
		for i := range got {
			if apart := got[i].Hours - want[i].Hours; apart > 1e-9 || apart < -1e-9 {
				t.Errorf("%v h in parts, %v as a whole", got[i].Hours, want[i].Hours)
			}
			if got[i].Hours = want[i].Hours; got[i] != want[i] {
				t.Errorf("in parts %+v, as a whole %+v", got[i], want[i])
			}
		}
		heldAgainstTheSlowWay(t, r, all, g)
	}
}
