package measures

import (
	"math"
	"testing"

	"tripwake/queries"
)

// Freireich 1963, 6-MP arm (checks.md): survival 0.8571 at 6, 0.7530 at 10, 0.4482 at 23 with (0.1881, 0.6801); median 23.
func TestEscalationIsKaplanMeier(t *testing.T) {
	var courses []queries.SupportCourse
	for _, minutes := range []float64{6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35} {
		c := queries.SupportCourse{Minutes: math.Abs(minutes), Escalated: minutes > 0, Phase: "never"}
		if c.Escalated {
			c.Phase = "before leaving"
		}
		courses = append(courses, c)
	}
	e, err := EscalationOf(courses)
	if err != nil {
		t.Fatal(err)
	}
	if e.Patients != 21 || e.Escalated != 9 || e.MedianTime != "23" || len(e.Transports) != 9 {
		t.Errorf("got %d of %d, median %s: want 9 of 21, median 23", e.Escalated, e.Patients, e.MedianTime)
	}
	if p, ok := e.FreeAt(12); !ok || p.AtRisk != 12 || p.Text() != "75.3 (50.3–88.9)" {
		t.Errorf("at 12: got %+v, %s, want 12 at risk and 75.3 (50.3–88.9)", p, p.Text())
	}
	if p, ok := e.FreeAt(3); !ok || p.Free != 100 || p.Text() != "100.0" {
		t.Errorf("at 3: got %+v: nobody had escalated", p)
	}
	if p, ok := e.FreeAt(24); ok {
		t.Errorf("at 24: got %+v: of five patients the curve says nothing", p)
	}
	if e.Phases[0].N != 9 || e.Phases[0].Share != "42.9" {
		t.Errorf("got %+v: want 9 before leaving, 42.9 %%", e.Phases[0])
	}
	if none, err := EscalationOf(nil); err != nil || none.Patients != 0 || len(none.Curve) != 0 || none.Phases[0].Share != "" {
		t.Errorf("got %+v, %v of nobody", none, err)
	}
}

func TestEndsOf(t *testing.T) {
	classes, counts := EndsOf([]queries.SupportEnd{{From: "invasive", To: "invasive", N: 5}, {From: "cpap", To: "invasive", N: 2}, {Place: "patient leg", From: "cpap", To: "nippv", N: 9}})
	if len(classes) != 2 || classes[0] != "cpap" || counts[0][1] != 2 || counts[1][1] != 5 || counts[0][0] != 0 {
		t.Errorf("got %v, %v: want cpap and invasive, 2 from one to the other, 5 that stayed", classes, counts)
	}
}
