package draft

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/layout"
)

// drafts of the invented exports, each made once for all tests.
var drafts = map[string]Draft{}

func draftFor(t *testing.T, name string) Draft {
	t.Helper()
	if d, made := drafts[name]; made {
		return d
	}
	d, err := Of([]string{filepath.Join(corpus, name, "in")})
	if err != nil {
		t.Fatal(err)
	}
	drafts[name] = d
	return d
}

// The bytes of every draft are those that are held.
func TestDraftsAreHeld(t *testing.T) {
	for _, name := range names(t) {
		held, err := os.ReadFile(filepath.Join(corpus, name, "drafted.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		if draftFor(t, name).Text != string(held) {
			t.Errorf("%s: the draft differs from drafted.yaml; look at what changed with: tripwake draft testdata/exports/%s/in", name, name)
		}
	}
}

// A draft is a layout that can be read, or it says which line must be decided, and that line is why it cannot be read.
func TestDraftsAreLayouts(t *testing.T) {
	undecided := 0
	for _, name := range names(t) {
		d := draftFor(t, name)
		_, err := layout.Parse(name, []byte(d.Text))
		if len(d.Decisions) == 0 {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		undecided++
		if err == nil && !strings.HasPrefix(d.Decisions[0].Key, "columns.") {
			t.Errorf("%s: must be decided, and could be loaded", name)
		}
		for _, decision := range d.Decisions {
			line := strings.Split(d.Text, "\n")[decision.Line-1]
			if !strings.Contains(line, decide) || !strings.Contains(decision.Doubt, "alternatives:") {
				t.Errorf("%s: line %d is %q (%s)", name, decision.Line, line, decision.Doubt)
			}
		}
	}
	if undecided < 2 {
		t.Errorf("%d drafts must be decided, expected the two exports that do not tell day from month, or the gas", undecided)
	}
}

// Cells of columns that are no codes do not appear in a draft.
func TestDraftsShowNoRecords(t *testing.T) {
	for _, name := range names(t) {
		d := draftFor(t, name)
		for _, s := range samplesOf(t, name) {
			for i, header := range s.header {
				f := look(header, (&group{samples: []sample{s}}).cells(i), nil)
				if f.few() {
					continue
				}
				for _, cell := range f.texts {
					if len(cell) > 4 && strings.Contains(d.Text, cell) {
						t.Errorf("%s: the draft shows %q of %q", name, cell, header)
					}
				}
			}
		}
	}
}

// A text that stands once in a column of codes may be a name: it is counted, not shown, whatever part of it is a code.
func TestOddTextsAreNotShown(t *testing.T) {
	d := draftOf(t, "incidents.csv", "Event no,Transport no,Event type,Harm\n1,T1,Desaturation,Mild\n2,T2,Desaturation of Ann Oake,None\n"+
		"3,T3,Hypotension,None\n4,T4,Ben Ashe,Mild\n5,T5,Odd,None\n6,T6,Odd,None\n")
	if strings.Contains(d.Text, "Oake") || strings.Contains(d.Text, "Ashe") || !strings.Contains(d.Text, "no code is known for Odd and 2 texts that are not shown") {
		t.Errorf("names are shown, or codes are not, in\n%s", d.Text)
	}
}

// written puts text into a file of a new folder.
func written(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// draftOf drafts one file with the text.
func draftOf(t *testing.T, name, text string) Draft {
	t.Helper()
	d, err := Of([]string{written(t, name, text)})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A day above 12 in any column decides the order of day and month for all; none leaves it to a person.
func TestDayAndMonth(t *testing.T) {
	head := "Run #,Vehicle,Call time,Accepted,Patient contact\n"
	for _, c := range []struct{ rows, want string }{
		{"1,road,03/04/2025 10:00,03/04/2025 10:05,03/04/2025 11:00\n2,heli,05/06/2025 10:00,05/06/2025 10:05,05/06/2025 11:00\n", "time_format: decide"},
		{"1,road,03/04/2025 10:00,03/04/2025 10:05,03/04/2025 11:00\n2,heli,12/06/2025 23:50,13/06/2025 00:05,13/06/2025 01:00\n", `time_format: "%d/%m/%Y %H:%M"`},
		{"1,road,03/04/2025 10:00,03/04/2025 10:05,03/04/2025 11:00\n2,heli,06/12/2025 23:50,06/13/2025 00:05,06/13/2025 01:00\n", `time_format: "%m/%d/%Y %H:%M"`},
	} {
		d := draftOf(t, "dispatch.csv", head+c.rows)
		if !strings.Contains(d.Text, c.want) || strings.Contains(c.want, decide) != (len(d.Decisions) == 1) {
			t.Errorf("expected %s in\n%s", c.want, d.Text)
		}
	}
}

// Where no unit is said, sizes decide if they leave one; the guess is marked. Where they leave two, a person decides.
func TestUnitsBySize(t *testing.T) {
	head := "Trip #,Gas,Size,Start pressure,End pressure\n"
	for _, c := range []struct{ rows, want string }{
		{"1,O2,E,2000,900\n2,Air,E,2100,850\n3,O2,E,1900,910\n", `start_pressure: {from: Start pressure, unit: "[psi]"}`},
		{"1,O2,E,2000,900\n2,Air,E,2100,850\n3,O2,E,1900,910\n", `end_pressure: {from: End pressure, unit: decide}`},
		{"1,O2,10,180,90\n2,Air,10,190,85\n3,O2,10,200,91\n", `start_pressure: {from: Start pressure, unit: bar}`},
		{"1,O2,10,18000,9000\n2,Air,10,19000,8500\n3,O2,10,20000,9100\n", "start_pressure: Start pressure  #"},
	} {
		d := draftOf(t, "tanks.csv", head+c.rows)
		if !strings.Contains(d.Text, c.want) {
			t.Errorf("expected %s in\n%s", c.want, d.Text)
		}
		if strings.Contains(c.want, "unit:") && !strings.Contains(before(d.Text, c.want), "# doubt: no unit is said") {
			t.Errorf("the guess of %s is not marked in\n%s", c.want, d.Text)
		}
	}
}

// before is the line before the one that holds the text.
func before(all, text string) string {
	lines := strings.Split(all[:strings.Index(all, text)], "\n")
	return lines[max(0, len(lines)-2)]
}

// Two headers that fit one column as well, clocks past midnight, dates without a time of day, and codes that are not known are
// marked.
func TestDoubts(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"alarms.csv", "Device,Alarm start,Alarm text,Alarm message\nV1,2025-05-13 10:00,High PIP,High PIP\nV1,2025-05-13 10:05,Low PEEP,Low PEEP\nV1,2025-05-13 10:15,Apnea,Apnea\n", "alternatives: from"},
		{"calls.csv", "Call no.,Date,Call time,Accepted,Handover\n1,13/05/2025,22:10,22:15,01:30\n2,14/05/2025,08:10,08:15,11:30\n3,15/05/2025,09:10,09:15,12:30\n", "1 of 3 rows have this before accepted_at"},
		{"workshop.csv", "Asset no,Removed from service,Returned,Reason\nV1,13/05/2025,14/05/2025,Repair\nV2,15/05/2025,16/05/2025,PM\n", "no time of day"},
		{"checks.csv", "Device,Checked at,Check,Result\nV1,2025-05-13 10:00,Leak test,Pass\nV2,2025-05-13 10:01,Battery,Zwölf\nV1,2025-05-14 10:00,Leak test,Zwölf\nV2,2025-05-14 10:01,Battery,Fail\n", `no code is known for "Zwölf"`},
		{"alarms.csv", "Device,Alarm start,Alarm,Priority\nV1,2025-05-13 10:00,High PIP,1\nV1,2025-05-13 10:05,Apnea,2\nV1,2025-05-13 10:15,Apnea,3\n", "what numbers mean as codes is a guess"},
	} {
		d, err := Of([]string{written(t, c.name, c.text)})
		if !strings.Contains(d.Text, c.want) || !strings.Contains(d.Text, "doubt") && err == nil {
			t.Errorf("expected %q in\n%s%v", c.want, d.Text, err)
		}
	}
}

// Clocks that pass midnight under one date are left to a person, and so is every later one; decided, the draft is a layout.
func TestMidnightMustBeDecided(t *testing.T) {
	d, err := Of([]string{written(t, "calls.csv", "Call no.,Date,Call time,Accepted,Handover,Available\n"+
		"1,13/05/2025,22:10,22:15,01:30,02:30\n2,14/05/2025,08:10,08:15,11:30,12:30\n3,15/05/2025,09:10,09:15,12:30,13:30\n")})
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, decision := range d.Decisions {
		keys = append(keys, decision.Key)
	}
	if !slices.Equal(keys, []string{"columns.handed_over_at", "columns.available_at"}) || strings.Count(d.Text, "next_day: decide") != 2 {
		t.Errorf("must be decided: %q in\n%s", keys, d.Text)
	}
	if _, err := layout.Parse("l.yaml", []byte(d.Text)); err == nil || !strings.Contains(err.Error(), `next_day: "decide" is no time`) {
		t.Errorf("an undecided draft was taken, or: %v", err)
	}
	if _, err := layout.Parse("l.yaml", []byte(strings.ReplaceAll(d.Text, "next_day: decide", "next_day: 12h"))); err != nil {
		t.Errorf("decided, the draft is no layout: %v", err)
	}
}

// An export that fits no table, and a file without a header, are named; with nothing else there is no layout.
func TestNoTable(t *testing.T) {
	for _, text := range []string{"Device,Time,Alarm,Time\nV1,x,High PIP,y\nV2,x,Apnea,y\n", "Colour,Taste\nred,sweet\nblue,sour\n", "just a line\nand another\n", ""} {
		d, err := Of([]string{written(t, "fruit.csv", text)})
		if !errors.Is(err, ErrNone) || !strings.Contains(d.Text, "# not read: fruit.csv") {
			t.Errorf("%q: %v\n%s", text, err, d.Text)
		}
	}
	if _, err := Of([]string{t.TempDir()}); err == nil || !strings.Contains(err.Error(), "no export found") {
		t.Errorf("an empty folder: %v", err)
	}
}

// Headers that mean something to YAML, or end a line, stay headers.
func TestHostileHeaders(t *testing.T) {
	text := "\"Run # \",\"Call: time\",\"{x}\",\"acc\u2028epted\",\"# \"\"to\"\"\",\"a\u0085b\",true,Accepted\n" +
		"T1,2025-05-13 10:00,1,2025-05-13 10:00,X,7,8,2025-05-13 10:03\nT2,2025-05-13 10:00,1,2025-05-13 10:00,X,7,8,2025-05-13 10:04\n"
	d := draftOf(t, "dispatch.csv", text)
	if _, err := layout.Parse("d", []byte(d.Text)); err != nil {
		t.Errorf("%v in\n%s", err, d.Text)
	}
	if !strings.Contains(d.Text, `called_at: "Call: time"`) {
		t.Errorf("the header is lost in\n%s", d.Text)
	}
}

// Of a large file the beginning alone is looked at: what lies behind may be of any kind.
func TestOnlyTheBeginningIsRead(t *testing.T) {
	var b strings.Builder
	b.WriteString("Device,Alarm start,Alarm\n")
	for b.Len() < sampledBytes+100 {
		b.WriteString("V1,2025-05-13 10:00,High PIP\n")
	}
	whole := draftOf(t, "alarms.csv", b.String())
	broken := draftOf(t, "alarms.csv", b.String()+strings.Repeat("\x00", 1<<20))
	if whole.Text != broken.Text || !strings.Contains(whole.Text, "condition: {from: Alarm") {
		t.Errorf("the drafts differ:\n%s\n%s", whole.Text, broken.Text)
	}
}

// Files with one header are one source, with a pattern that takes no other export in.
func TestFilesOfOneExport(t *testing.T) {
	folder := t.TempDir()
	for name, text := range map[string]string{
		"log-V1.csv": "Device,Alarm start,Alarm\nV1,2025-05-13 10:00,High PIP\nV1,2025-05-13 11:00,Apnea\n",
		"log-V2.csv": "Device,Alarm start,Alarm\nV2,2025-05-13 10:00,High PIP\nV2,2025-05-13 11:00,Apnea\n",
		"log-P1.csv": "Device,Time,Power source\nP1,2025-05-13 10:00,AC\nP1,2025-05-13 11:00,Battery\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	d, err := Of([]string{folder})
	if err != nil || d.Sources != 2 || !strings.Contains(d.Text, "files: log-V*.csv") && !strings.Contains(d.Text, `files: "log-V*.csv"`) || !strings.Contains(d.Text, `"log-P*.csv"`) {
		t.Errorf("%v, %d sources\n%s", err, d.Sources, d.Text)
	}
}

// Whatever stands in a file, a draft is a layout, or names the lines to be decided, or says that nothing fits.
func TestAnyText(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	heads := []string{"Run #", "Date", "Time", "Vent", "Gas", "Start", "End", "HR", "SpO2 %", "Mode", "Alarm", "Type", "BW", "", "é;\u2028", "Leak (P/F)", "Temp on arrival", "Temp on departure", "O2 start psi", "O2 end psi"}
	cells := []string{"", "1", "12.5", "3,7", "O2", "V1", "03/04/2025", "10:30", "0215", "SIMV", "P", "F", "---", "x: y", "#", "27+3", "5 lb 2 oz", "2025-05-02 10:00", "\"q\"\"\"", "'"}
	for i := range 400 {
		var b strings.Builder
		width := 2 + r.IntN(7)
		for row := range 2 + r.IntN(20) {
			for column := range width {
				from := cells
				if row == 0 {
					from = heads
				}
				if column > 0 {
					b.WriteByte(',')
				}
				b.WriteString(from[r.IntN(len(from))])
			}
			b.WriteByte('\n')
		}
		d, err := Of([]string{written(t, "any.csv", b.String())})
		if errors.Is(err, ErrNone) {
			continue
		}
		if _, refused := layout.Parse("any", []byte(d.Text)); err != nil || refused != nil && len(d.Decisions) == 0 {
			t.Fatalf("%d: %v, %v in\n%s\nof\n%s", i, err, refused, d.Text, b.String())
		}
	}
}
