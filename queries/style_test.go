package queries

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tripwake/queries/views"
)

func sqlFiles(t *testing.T) []string {
	t.Helper()
	questions, err := filepath.Glob("*.sql")
	if err != nil {
		t.Fatal(err)
	}
	blocks, err := filepath.Glob("views/*.sql")
	if err != nil || len(questions) == 0 || len(blocks) == 0 {
		t.Fatalf("no SQL files: %v", err)
	}
	return append(questions, blocks...)
}

var (
	quoted = regexp.MustCompile(`'[^']*'`)
	cte    = regexp.MustCompile(`(?m)(^with |^\), )[a-z_]+ as \($`)
	upper  = regexp.MustCompile(`[A-Z]`)
)

// House rules for SQL: lower case, at most 60 lines and 5 common table expressions, a three-line header.
func TestStyle(t *testing.T) {
	for _, name := range sqlFiles(t) {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
		for i, start := range []string{"-- answers: ", "-- grain: ", "-- parameters: "} {
			if len(lines) <= i || !strings.HasPrefix(lines[i], start) {
				t.Errorf("%s:%d: expected the header line %q", name, i+1, start)
			}
		}
		body := statement(string(data))
		if n := len(lines); n > 60 {
			t.Errorf("%s: %d lines, expected at most 60", name, n)
		}
		if n := len(cte.FindAllString(body, -1)); n > 5 {
			t.Errorf("%s: %d common table expressions, expected at most 5", name, n)
		}
		if found := upper.FindString(quoted.ReplaceAllString(body, "")); found != "" {
			t.Errorf("%s: capital %q outside a literal", name, found)
		}
	}
}

// A question has an SQL file, a Go file and a test; a block makes what its file is named for.
func TestFilesBelongTogether(t *testing.T) {
	shared := map[string]string{
		"sums": "sums", "groups": "sums", "alarm_shared": "alarm_groups", "event_since": "event_gaps", "members": "cases",
		"research_codes": "research_release", "research_disclosed": "research_release", "research_classes": "research_release", "research_chosen": "research_release",
		"research_episodes": "research_tables", "research_alarms": "research_tables", "research_gas": "research_tables",
		"research_power": "research_tables", "research_missing": "research_tables",
		"limit_replay_delay": "limit_replay_held", "device_runs": "device_clocks", "device_pairs": "device_clocks", "load_start": "device_clocks", "cohort_members": "cohort", "quality_flags": "quality", "quality_stamps": "quality", "quality_logs": "quality", "quality_events": "quality",
	}
	for _, name := range sqlFiles(t) {
		base := strings.TrimSuffix(filepath.Base(name), ".sql")
		if strings.HasPrefix(name, "views/") {
			text, ok := views.Text(base)
			made := regexp.MustCompile(`create or replace temp (table|macro) ` + base + `\b`)
			if !ok || !made.MatchString(text) {
				t.Errorf("%s: expected a statement that makes the temporary table or macro %s", name, base)
			}
			continue
		}
		home := base
		if at, ok := shared[base]; ok {
			home = at
		}
		if _, err := os.Stat(home + ".go"); err != nil {
			t.Errorf("%s: no %s.go beside it", name, home)
		}
		if _, err := os.Stat(home + "_test.go"); err != nil {
			t.Errorf("%s: no %s_test.go beside it", name, home)
		}
	}
}

// Every measure of the contract has a question, and no question answers a measure that is not in it.
func TestEveryMeasureHasAQuestion(t *testing.T) {
	file, err := os.Open(filepath.Join("..", "testdata", "contract", "measures.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, row := range rows[1:] {
		known[row[0]] = true
		if _, ok := questionOf(row[0]); !ok {
			t.Errorf("%s: no question", row[0])
		}
	}
	for _, question := range questions() {
		for measure := range question.measures {
			if !known[measure] {
				t.Errorf("%s: answers %s, which is no measure", question.name, measure)
			}
		}
	}
}

func TestBlocks(t *testing.T) {
	if got := needs("select * from trips -- episodes\n-- onsets\nwhere minutes_between(a, b) > 1 and trips.x", ""); strings.Join(got, " ") != "trips episodes minutes_between" {
		t.Errorf("got %v: whole comment lines are passed over, each block named once", got)
	}
	if got := needs("create table trips as select triple from windows", "trips"); strings.Join(got, " ") != "windows" {
		t.Errorf("got %v, want windows: a block does not need itself, and words are whole", got)
	}
	r := newFixture(t).reader()
	for _, name := range append(views.Names(), "windows") {
		if err := r.build(t.Context(), name, ""); err != nil {
			t.Errorf("block %s: %v", name, err)
		}
		if !r.built[name] {
			t.Errorf("block %s was not made", name)
		}
	}
	if _, ok := views.Text("nothing"); ok {
		t.Error("a block that is none was found")
	}
}
