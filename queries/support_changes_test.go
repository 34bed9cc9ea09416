package queries

import (
	"fmt"
	"slices"
	"testing"
)

// set adds a settings row of ventilator V on a transport, so many minutes after 12:00 UTC.
func (f *fixture) setting(id string, minute float64, mode, interfaced string) {
	f.t.Helper()
	row := cells{"trip": q(id), "device_id": q("V"), "recorded_at": at(minute), "mode": q(mode)}
	if interfaced != "" {
		row["interface"] = q(interfaced)
	}
	f.add("settings", row)
}

// episodes lists a transport's episodes: class, minutes, and whether a tube counts.
func (f *fixture) episodes(id string) []string {
	f.t.Helper()
	return f.rows(fmt.Sprintf(`select concat_ws(' ', class, round(minutes, 6), if(invasive_tube, 'tube', null))
		from episodes where transport_id = '%s' order by episode`, id))
}

func (f *fixture) wantEpisodes(id string, want ...string) {
	f.t.Helper()
	if got := f.episodes(id); !slices.Equal(got, want) {
		f.t.Errorf("episodes of %s: got %q, want %q", id, got, want)
	}
}

// The first rule that fits, in the order of definitions.md.
func TestSupportClass(t *testing.T) {
	f := newFixture(t)
	for _, c := range [][3]string{
		{"'standby'", "'tube'", "none"}, {"'off'", "null", "none"},
		{"'hfov'", "'tube'", "high_frequency"}, {"'hfjv'", "null", "high_frequency"}, {"'hfov'", "'nasal'", "nippv"}, {"'hfjv'", "'mask'", "nippv"},
		{"'cpap'", "'tube'", "invasive"}, {"null", "'tracheostomy'", "invasive"}, {"'simv'", "'laryngeal_mask'", "invasive"},
		{"'cpap'", "'nasal'", "cpap"}, {"'nippv'", "null", "nippv"}, {"'low_flow'", "'nasal'", "low_flow"}, {"'high_flow'", "'nasal'", "high_flow"},
		{"'cmv'", "'mask'", "nippv"}, {"'simv'", "'nasal'", "nippv"},
		{"'simv'", "null", "unknown"}, {"null", "null", "unknown"}, {"'cmv'", "'hood'", "unknown"}, {"'cmv'", "'none'", "unknown"},
	} {
		if got := f.rows("select support_class(" + c[0] + ", " + c[1] + ")"); got[0] != c[2] {
			t.Errorf("mode %s, interface %s: got %s, want %s", c[0], c[1], got[0], c[2])
		}
	}
}

// Under way is minute 60 to 180 throughout.
func TestEpisodesAreClippedAndHeld(t *testing.T) {
	f := newFixture(t)
	// In force before under way (minute 10) counts from its start; the last holds to the end: cpap 60–100, invasive 100–180.
	f.trip("A", nil)
	f.setting("A", -31, "low_flow", "nasal") // outside the widened window: no row of the timeline
	f.setting("A", 10, "cpap", "nasal")
	f.setting("A", 100, "simv", "tube")
	f.setting("A", 180, "cpap", "nasal") // at the end of under way: no time left
	f.setting("A", 200, "cpap", "nasal")
	f.wantEpisodes("A", "cpap 40.0", "invasive 80.0 tube")
	// Nothing in force before minute 90.
	f.trip("B", nil)
	f.setting("B", 90, "cpap", "nasal")
	f.wantEpisodes("B", "cpap 90.0")
	// Two rows at one time: the later record wins, whichever it is.
	f.trip("C", nil)
	f.setting("C", 60, "simv", "tube")
	f.setting("C", 60, "cpap", "nasal")
	f.wantEpisodes("C", "cpap 120.0")
}

func TestShortEpisodesArePassedOver(t *testing.T) {
	f := newFixture(t)
	// Exactly 2 min is not short: three episodes.
	f.trip("two", nil)
	f.setting("two", 60, "cpap", "nasal")
	f.setting("two", 100, "simv", "tube")
	f.setting("two", 102, "cpap", "nasal")
	f.wantEpisodes("two", "cpap 40.0", "invasive 2.0 tube", "cpap 78.0")
	// 1.9 min is: its time goes to the one before, and the equal neighbours join.
	f.trip("short", nil)
	f.setting("short", 60, "cpap", "nasal")
	f.setting("short", 100, "simv", "tube")
	f.setting("short", 101.9, "cpap", "nasal")
	f.wantEpisodes("short", "cpap 120.0")
	// The first one's time goes to the one after.
	f.trip("first", nil)
	f.setting("first", 60, "low_flow", "nasal")
	f.setting("first", 61, "simv", "tube")
	f.wantEpisodes("first", "invasive 120.0 tube")
	// Short is judged before time is passed on: two of 1.5 min in a row are both passed over.
	f.trip("pair", nil)
	f.setting("pair", 60, "cpap", "nasal")
	f.setting("pair", 100, "simv", "tube")
	f.setting("pair", 101.5, "hfov", "tube")
	f.setting("pair", 103, "nippv", "nasal")
	f.wantEpisodes("pair", "cpap 43.0", "nippv 77.0")
	// A transport's only episode stays: 1 min, then standby.
	f.trip("only", nil)
	f.setting("only", 60, "cpap", "nasal")
	f.setting("only", 61, "standby", "")
	f.wantEpisodes("only", "cpap 1.0")
	// All are short: the longest stays, the first of equals.
	f.trip("all", cells{"handed_over_at": at(64)})
	f.setting("all", 60, "low_flow", "nasal")
	f.setting("all", 61, "cpap", "nasal")
	f.setting("all", 62.5, "simv", "tube")
	f.wantEpisodes("all", "cpap 4.0")
}

func TestNoneAndUnknownAreDroppedFirst(t *testing.T) {
	f := newFixture(t)
	// cpap 60–61, standby 61–70, cpap 70–71: one cpap of 2 min own time, long enough; then simv from 71.
	f.trip("joined", nil)
	f.setting("joined", 60, "cpap", "nasal")
	f.setting("joined", 61, "standby", "nasal")
	f.setting("joined", 70, "cpap", "nasal")
	f.setting("joined", 71, "simv", "tube")
	f.wantEpisodes("joined", "cpap 2.0", "invasive 109.0 tube")
	// Unknown 80–100 counts in no episode, and the change across it is one.
	f.trip("unknown", nil)
	f.setting("unknown", 60, "cpap", "nasal")
	f.setting("unknown", 80, "simv", "")
	f.setting("unknown", 100, "simv", "tube")
	f.wantEpisodes("unknown", "cpap 20.0", "invasive 80.0 tube")
	f.trip("off", nil)
	f.setting("off", 60, "off", "")
	f.wantEpisodes("off")
}

func TestSettingsOfTheVentilatorOnly(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	f.setting("A", 60, "cpap", "nasal")
	f.add("settings", cells{"trip": q("A"), "device_id": q("W"), "recorded_at": at(70), "mode": q("simv"), "interface": q("tube")})
	f.add("settings", cells{"trip": q("A"), "transport_id": q("A"), "recorded_at": at(150), "mode": q("nippv")}) // names A, no device
	f.wantEpisodes("A", "cpap 90.0", "nippv 30.0")
	// Without a ventilator_id every row counts.
	f.trip("B", cells{"ventilator_id": "null"})
	f.add("settings", cells{"trip": q("B"), "device_id": q("W"), "recorded_at": at(70), "mode": q("simv"), "interface": q("tube")})
	f.wantEpisodes("B", "invasive 110.0 tube")
}

func TestSupportChanges(t *testing.T) {
	f := newFixture(t)
	// cpap, simv, cpap: two conversions; escalated, though it ends non-invasive.
	f.trip("up", nil)
	f.setting("up", 60, "cpap", "nasal")
	f.setting("up", 100, "simv", "tube")
	f.setting("up", 140, "cpap", "nasal")
	// cpap to nippv: a conversion upward, but not to invasive.
	f.trip("nippv", nil)
	f.setting("nippv", 60, "cpap", "nasal")
	f.setting("nippv", 100, "nippv", "nasal")
	// First class high_flow is not non-invasive support in the sense of the definitions (cpap and nippv are).
	f.trip("flow", nil)
	f.setting("flow", 60, "high_flow", "nasal")
	f.setting("flow", 100, "hfov", "tube")
	f.trip("steady", nil)
	f.setting("steady", 60, "hfov", "tube")
	// Support is known, its time is not: left out.
	f.trip("lost", cells{"handed_over_at": "null"})
	f.setting("lost", 60, "cpap", "nasal")
	f.trip("bare", nil)
	f.trip("cancelled", cells{"disposition": q("cancelled")})
	f.setting("cancelled", 60, "cpap", "nasal")
	f.want("conversions", map[string]string{
		"up": "2.0/1.0", "nippv": "1.0/1.0", "flow": "1.0/1.0", "steady": "0.0/1.0", "lost": "out: under way missing",
	})
	f.want("escalations", map[string]string{"up": "1.0/1.0", "nippv": "0.0/1.0", "lost": "out: under way missing"})
}
