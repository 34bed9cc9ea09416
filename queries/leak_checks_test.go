package queries

import "testing"

func TestLeakCheck(t *testing.T) {
	f := newFixture(t)
	check := func(device string, minute float64, more cells) {
		row := cells{"device_id": q(device), "recorded_at": at(minute), "kind": q("leak"), "result": q("pass")}
		for k, v := range more {
			row[k] = v
		}
		f.add("checks", row)
	}
	carry := func(id string, more cells) {
		row := cells{"ventilator_id": q(id)}
		for k, v := range more {
			row[k] = v
		}
		f.trip(id, row)
	}
	// Accepted at minute 0, so from minute -720; off at 120. Both ends count, whichever transport the check names.
	carry("first", nil)
	check("first", -720, cells{"transport_id": q("another")})
	carry("early", nil)
	check("early", -720.001, nil)
	carry("last", nil)
	check("last", 120, nil)
	carry("late", nil)
	check("late", 120.001, nil)
	// The latest check before leaving is one too early, a later one failed: neither helps; a pass among fails does.
	carry("failed", nil)
	check("failed", -5, cells{"result": q("fail")})
	check("failed", -4, cells{"result": q("skipped")})
	check("failed", -3, cells{"kind": q("battery")})
	carry("mended", nil)
	check("mended", -10, nil)
	check("mended", -5, cells{"result": q("fail")})
	// Without accepted_at the 12 h are counted back from the first stamp, here the call at minute -20: from -740.
	carry("call", cells{"accepted_at": "null", "called_at": at(-20)})
	check("call", -740, nil)
	carry("before call", cells{"accepted_at": "null", "called_at": at(-20)})
	check("before call", -741, nil)
	carry("no leave", cells{"departed_referring_at": "null"})
	check("no leave", -5, nil)
	f.trip("no ventilator", cells{"ventilator_id": "null"})
	f.want("leak_check_passed", map[string]string{
		"first": "1.0/1.0", "early": "0.0/1.0", "last": "1.0/1.0", "late": "0.0/1.0", "failed": "0.0/1.0", "mended": "1.0/1.0",
		"call": "1.0/1.0", "before call": "0.0/1.0", "no leave": "out: departed_referring_at missing",
	})
}
