package main

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// compared is what is read of a line of `measure --compare --format json`.
type compared struct {
	About, Subject, Group, Against, Name, Note string
	N                                          *int
	Value, Low, High, P                        *float64
	Withheld                                   bool
}

func (c compared) key() string {
	return strings.Join([]string{c.About, c.Subject, c.Group, c.Name}, "|")
}

func comparedBy(t *testing.T, p *place, args ...string) map[string]compared {
	t.Helper()
	rows := map[string]compared{}
	for _, r := range objects[compared](t, p.good(append([]string{"measure", "--compare", "--format", "json"}, args...)...)) {
		if _, twice := rows[r.key()]; !twice { // the second of the models repeats the counts of the first
			rows[r.key()] = r
		}
	}
	return rows
}

// asPrinted holds a number to one as printed: equal when rounded to its decimals.
func asPrinted(got *float64, want string) bool {
	if want == "" {
		return true
	}
	_, decimals, _ := strings.Cut(want, ".")
	return got != nil && strconv.FormatFloat(*got, 'f', len(decimals), 64) == want
}

// Published two-by-two tables of real transports, as records (testdata/recompute/make_research.py), come out of the research
// report as the papers have them. The sources stand in each study.yaml; the numbers beyond the papers' in the project's checks.
func TestPublishedTablesThroughTheReport(t *testing.T) {
	needBundle(t)
	folders, err := filepath.Glob(filepath.Join("..", "..", "testdata", "research-*"))
	if err != nil || len(folders) < 3 {
		t.Fatalf("%d cases, %v", len(folders), err)
	}
	for _, folder := range folders {
		t.Run(filepath.Base(folder), func(t *testing.T) {
			folder, err := filepath.Abs(folder)
			if err != nil {
				t.Fatal(err)
			}
			p := newPlace(t)
			p.good("load", filepath.Join(folder, "in"))
			settings := []string{"--settings", filepath.Join(folder, "study.yaml")}
			rows := comparedBy(t, p, settings...)
			for _, want := range readTable(t, filepath.Join(folder, "want", "compare.csv")) {
				key := strings.Join([]string{want["about"], want["subject"], want["group"], want["name"]}, "|")
				got, ok := rows[key]
				if !ok || !asPrinted(got.Value, want["value"]) || !asPrinted(got.Low, want["low"]) || !asPrinted(got.High, want["high"]) || !asPrinted(got.P, want["p"]) {
					t.Errorf("%s: got %+v, want %v", key, got, want)
				}
			}
			page := p.read(strings.TrimSpace(p.good(append([]string{"report", "research", "--out", "out"}, settings...)...)))
			for _, words := range map[string][]string{
				"research-night-departures": {"24 of 119 (20.2 %)", "38 of 381 (10.0 %)", "2.02 (1.27 to 3.23)", "8.675", "p 0.0032"},
				"research-cpap":             {"none of 207 had the event: the exact 95 % interval ends at 1.77 %", "32 (15.5 %)", "164 (79.2 %)"},
				"research-ventilated":       {"32 of 256 (12.5 %)"},
			}[filepath.Base(folder)] {
				if !strings.Contains(page, words) {
					t.Errorf("the page does not say %q", words)
				}
			}
		})
	}
}

// Penman 2014: 5 of the 256 were under 3 kPa (22.5 mm[Hg]). Five is a small count: it and its complement are withheld, with every
// estimate, unless all is to be shown.
func TestSmallCountIsWithheldUnlessAskedFor(t *testing.T) {
	needBundle(t)
	folder, err := filepath.Abs(filepath.Join("..", "..", "testdata", "research-ventilated"))
	if err != nil {
		t.Fatal(err)
	}
	p := newPlace(t, "TRIPWAKE_HYPOCARBIA=22.5")
	p.good("load", filepath.Join(folder, "in"))
	settings := []string{"--settings", filepath.Join(folder, "study.yaml")}
	hidden := comparedBy(t, p, settings...)["outcome|hypocarbia_on_arrival|ground|events"]
	if hidden.Value != nil || !hidden.Withheld {
		t.Errorf("got %+v, want a withheld count", hidden)
	}
	if _, told := comparedBy(t, p, settings...)["outcome|hypocarbia_on_arrival|ground|risk"]; told {
		t.Error("the risk of a withheld count is told")
	}
	shown := comparedBy(t, p, append(settings, "--show-small-cells")...)["outcome|hypocarbia_on_arrival|ground|events"]
	if shown.Value == nil || *shown.Value != 5 {
		t.Errorf("got %+v, want 5", shown)
	}
	open := p.read(strings.TrimSpace(p.good(append([]string{"report", "research", "--show-small-cells"}, settings...)...)))
	if !strings.Contains(open, "For internal use only") || !strings.Contains(open, "5 of 256") {
		t.Error("the page for internal use does not say so, or withholds")
	}
}

// hostileCohort holds 120 transports with names that would be markup or formulas, in two vehicles, of 80 patients.
func hostileCohort(t *testing.T) *place {
	t.Helper()
	p := newPlace(t)
	var trips, events strings.Builder
	trips.WriteString("transport_id,vehicle,patient_key,accepted_at,arrived_referring_at,departed_referring_at,diagnosis,team\n")
	events.WriteString("event_id,transport_id,kind,narrative\n")
	for i := range 120 {
		fmt.Fprintf(&trips, "T%d,%s,SECRET%d,2026-01-05 10:00,2026-01-05 11:00,2026-01-05 %d:%02d,respiratory,=<b>x\n", i, []string{"ground", "rotor"}[i%2], i%80, 12+i%3, i%60)
		if i%5 == 0 {
			fmt.Fprintf(&events, "E%d,T%d,hypotension,the mother said SECRET\n", i, i)
		}
	}
	p.write("in/transports.csv", trips.String())
	p.write("in/events.csv", events.String())
	p.write("tripwake.yaml", `team: "<script>alert(1)</script>"
cohort:
  include: [{name: '<img src=x onerror=alert(1)>', column: completed, is: true}]
  exclude: [{name: '=cmd|calc', column: cooling, is: true}]
exposure:
  column: vehicle
  groups: [{name: '"><svg onload=1>', is: ground}, {name: '=1+1', is: rotor}]
`)
	p.good("load", "in")
	return p
}

// Names are text whatever they hold; the page has no script, no key, no narrative and no date of a transport; the same records
// give the same bytes; no cell of the CSV form is a formula.
func TestResearchReportIsSafe(t *testing.T) {
	needBundle(t)
	p := hostileCohort(t)
	page := p.read(strings.TrimSpace(p.good("report", "research", "--out", "a")))
	for _, never := range []string{"<script", "<img", "<svg onload", "SECRET", "mother", "2026-01-05", "T17<", "onerror=alert(1)>"} {
		if strings.Contains(page, never) {
			t.Errorf("the page holds %q", never)
		}
	}
	for _, always := range []string{"&lt;script&gt;", "&lt;img src=x", "default-src &#39;none&#39;", "gives no advice for a patient under way", "role=\"img\"", "STROBE"} {
		if !strings.Contains(page, always) {
			t.Errorf("the page does not hold %q", always)
		}
	}
	if again := p.read(strings.TrimSpace(p.good("report", "research", "--out", "b"))); again != page {
		t.Error("the same records gave other bytes")
	}
	for line := range strings.Lines(p.good("measure", "--compare", "--format", "csv")) {
		if regexp.MustCompile(`(^|,)"?[=+@]`).MatchString(line) {
			t.Errorf("a spreadsheet would run a cell of %q", line)
		}
	}
	rows := comparedBy(t, p)
	if r := rows["patients|||moved_more_than_once"]; r.Value == nil || *r.Value != 40 {
		t.Errorf("moved more than once: %+v, want 40", r)
	}
	// The counts of the page are those of the numbers: 24 events, 12 by each vehicle.
	if r := rows["outcome|adverse_events|=1+1|events"]; r.Value == nil || *r.Value != 12 || !strings.Contains(page, "12 of 60 (20.0 %)") {
		t.Errorf("events by rotor: %+v, want 12", r)
	}
}

// Cohorts of which little can be said are told as such, and no command fails.
func TestResearchReportOfLittle(t *testing.T) {
	needBundle(t)
	for name, c := range map[string]struct{ env, want string }{
		"empty cohort":  {`TRIPWAKE_COHORT={"include": [{"name": "none", "column": "weight", "at_least": 1}]}`, "No transport is in the cohort"},
		"one group":     {`TRIPWAKE_EXPOSURE={"column": "vehicle", "groups": [{"name": "ground", "is": "ground"}, {"name": "wing", "is": "fixed_wing"}]}`, "The groups compared"},
		"small group":   {`TRIPWAKE_COHORT={"include": [{"name": "early", "column": "stabilization_time", "at_most": 62}]}`, "groups so small are not compared"},
		"no month":      {`TRIPWAKE_COHORT_FROM=2030-01`, "No transport is in the cohort"},
		"all missing":   {`TRIPWAKE_OUTCOMES=hypothermia_on_arrival, receiving_pco2, escalations`, "no value is recorded in the group"},
		"nobody":        {`TRIPWAKE_OUTCOMES=event_cardiac_arrest`, "nobody or everybody had the event"},
		"no adjustment": {`TRIPWAKE_ADJUST_FOR=[]`, "the settings name nothing to adjust for"},
		"no traits":     {`TRIPWAKE_DESCRIBE=[]`, "What differs, at a glance"},
	} {
		t.Run(name, func(t *testing.T) {
			p := hostileCohort(t)
			p.env = []string{c.env}
			page := p.read(strings.TrimSpace(p.good("report", "research")))
			if !strings.Contains(strings.ToLower(page), strings.ToLower(c.want)) {
				t.Errorf("the page does not say %q", c.want)
			}
			for _, r := range objects[compared](t, p.good("measure", "--compare", "--format", "json")) {
				for _, v := range []*float64{r.Value, r.Low, r.High, r.P} {
					if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0) || math.Abs(*v) > 1e30) {
						t.Errorf("%+v: no number", r)
					}
				}
			}
		})
	}
	empty := newPlace(t)
	empty.write("in/devices.csv", "device_id,kind\nV1,ventilator\n")
	empty.good("load", "in")
	if page := empty.read(strings.TrimSpace(empty.good("report", "research"))); !strings.Contains(page, "No transport is in the cohort") {
		t.Error("a store without transports is not told as such")
	}
}

// Wrong settings are wrong use: the error names the key, where it came from, the entry, and what may have been meant.
func TestStudySettings(t *testing.T) {
	p := newPlace(t)
	for _, c := range []struct{ file, want string }{
		{"cohort: {include: [{name: a, column: gestatoin, at_least: 3}]}", `setting cohort (from tripwake.yaml): include: entry 1 (a): column "gestatoin"`},
		{"cohort: {include: [{name: a, column: gestation, atleast: 3}]}", "did you mean at_least?"},
		{"exposure: {column: vehicle, groups: [{name: a, is: grund}, {name: b, is: rotor}]}", "did you mean ground?"},
		{"exposure: {column: vehicle, cut: 3}", "setting exposure (from tripwake.yaml): cut: expected one number"},
		{"outcomes: [diagnosis]", "setting outcomes (from tripwake.yaml): column diagnosis holds a code"},
		{"describe: [team]", "direct identifier"},
		{"exclusions_for_sensitivity: [Cooling]", "setting exclusions_for_sensitivity: \"Cooling\" is no exclusion"},
		{"cohort_from: 2026-13", "setting cohort_from"},
		{"small_cell: 0", "setting small_cell (from tripwake.yaml): expected a whole number from 1 to 1000"},
	} {
		p.write("tripwake.yaml", c.file+"\n")
		p.bad(exitUsage, c.want, "settings")
	}
	// What `settings` prints can be kept as a file, and means the same.
	p.write("tripwake.yaml", "cohort: {include: [{name: 'Newborns: all', column: age_band, is: neonatal}], exclude: [{name: c, column: cooling, is: true}]}\nadjust_for: [gestation]\n")
	first := p.good("settings", "--format", "json")
	p.write("tripwake.yaml", p.good("settings"))
	values := func(text string) (all []string) {
		for _, o := range objects[origin](t, text) {
			all = append(all, o.Key+"="+strings.ReplaceAll(o.Value, " ", ""))
		}
		return all
	}
	if a, b := values(first), values(p.good("settings", "--format", "json")); strings.Join(a, "\n") != strings.Join(b, "\n") {
		t.Errorf("kept settings differ:\n%v\n%v", a, b)
	}
	for _, wrong := range [][]string{{"--compare", "--supplies"}, {"--compare", "trip_time"}, {"--show-small-cells"}, {"--compare", "--by", "month"}} {
		p.bad(exitUsage, "expected", append([]string{"measure"}, wrong...)...)
	}
}
