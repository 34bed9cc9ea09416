package layout

import (
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
)

// design is the example of the design, word by word.
const design = `sources:
  - files: "dispatch-*.csv"
    table: transports
    time_zone: America/Chicago        # IANA name; the default is the team's
    time_format: "%m/%d/%Y %H:%M"     # strptime tokens
    columns:
      transport_id: Run
      birth_weight: {from: BW, unit: "[lb_av]"}
      vehicle: {from: Type, codes: {GRD: ground, HELI: rotor}}
    constants: {team: North}
  - files: "trend *.csv"
    table: readings                   # one column per quantity
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {spo2: "SpO2 %", expired_tidal_volume: {from: "Vte", unit: mL}}
`

func TestDesignExample(t *testing.T) {
	l, err := Parse("layout.yaml", []byte(design))
	if err != nil {
		t.Fatal(err)
	}
	dispatch, trend := l.Sources[0], l.Sources[1]
	if dispatch.Files != "dispatch-*.csv" || dispatch.Table != "transports" || dispatch.TimeZone != "America/Chicago" ||
		!slices.Equal(dispatch.TimeFormats, []string{"%m/%d/%Y %H:%M"}) || dispatch.Line != 2 {
		t.Errorf("%+v", dispatch)
	}
	weight, vehicle := dispatch.Columns[1], dispatch.Columns[2]
	if weight.Name != "birth_weight" || weight.From[0] != "BW" || weight.Unit != "[lb_av]" || weight.Line != 8 || vehicle.Codes["HELI"] != "rotor" {
		t.Errorf("%+v", dispatch.Columns)
	}
	if c := dispatch.Constants[0]; c.Name != "team" || c.Text != "North" {
		t.Errorf("%+v", c)
	}
	if !slices.Equal(trend.Columns[1].From, []string{"Date", "Time"}) || trend.Quantities[1].Unit != "mL" || trend.Quantities[0].From[0] != "SpO2 %" {
		t.Errorf("%+v", trend)
	}
}

// The layout that the README shows is one.
func TestReadmeExample(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(string(text), "```yaml\nsources:")
	example, _, found := strings.Cut(after, "```")
	if l, err := Parse("README.md", []byte("sources:"+example)); err != nil || !found || len(l.Sources) != 2 {
		t.Errorf("%v, %v", l, err)
	}
}

func TestOwnKeys(t *testing.T) {
	l, err := Parse("l.yaml", []byte(`sources:
  - files: "a.csv"
    table: alarms
    time_format: [excel, "%d.%m.%y %T"]
    columns:
      started_at: {from: [D, T], format: epoch_ms}
      condition: {from: C, codes: {Apn: APNEA, x: ~}}
    constants: {device_id: V1}
    missing: [---, N/A]
    where: {column: Kind, is_not: [INFO, 7]}
    clock_offset: -4m30s
    delimiter: tab
    quotes: backslash
    skip: 3
    footer: 1
    encoding: windows-1252
    decimal: comma
`))
	if err != nil {
		t.Fatal(err)
	}
	s := l.Sources[0]
	if s.ClockOffset != -4*time.Minute-30*time.Second || s.Dialect != (Dialect{'\t', Backslash, 3, 1, "windows-1252", Comma}) ||
		!slices.Equal(s.Missing, []string{"---", "N/A"}) || s.Where.Column != "Kind" || !slices.Equal(s.Where.IsNot, []string{"INFO", "7"}) {
		t.Errorf("%+v", s)
	}
	if c := s.Columns[1].Codes; c["Apn"] != "apnea" || c["x"] != "" || s.TimeFormats[1] != "%d.%m.%y %H:%M:%S" || s.Columns[0].Formats[0] != EpochMillis {
		t.Errorf("%+v", s)
	}
}

// Every key that a layout may hold is told to people.
func TestKeysAreDocumented(t *testing.T) {
	levels := map[string]int{}
	for _, k := range Keys() {
		levels[k.Level]++
		if k.Takes == "" || k.Meaning == "" || !slices.Contains(Levels, k.Level) || strings.Contains(k.String(), "\n") {
			t.Errorf("%+v", k)
		}
	}
	if levels[InSource] != len(sourceKeys()) || levels[InFile] != 1 {
		t.Errorf("%v", levels)
	}
}

// What is written is read back as it was.
func TestRender(t *testing.T) {
	own := `sources:
  - files: "a ü*.csv"
    table: alarms
    time_zone: Europe/Berlin
    time_format: [excel, "%d.%m.%y %T"]
    columns:
      started_at: {from: [D, T], format: epoch_ms}
      ended_at: {from: [D, E], next_day: 90m}
      condition: {from: "C \"x\"\\", codes: {Apn: APNEA, x: ~, "no": other, "1": technical}}
      alarm_limit: {from: L, unit: "[psi]"}
    constants: {device_id: "1", unit: kPa}
    missing: ["---", "~"]
    where: {column: Kind, is_not: ["", "7"]}
    clock_offset: -4m30s
    delimiter: tab
    quotes: backslash
    skip: 3
    footer: 1
    encoding: windows-1252
    decimal: comma
`
	for _, text := range []string{design, own} {
		first, err := Parse("a", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		rendered := Render(first.Sources)
		again, err := Parse("a", []byte(rendered))
		if err != nil {
			t.Fatalf("%v in\n%s", err, rendered)
		}
		if a, b := withoutLines(first.Sources), withoutLines(again.Sources); !reflect.DeepEqual(a, b) {
			t.Errorf("%+v\nbecomes\n%+v\nby\n%s", a, b, rendered)
		}
	}
}

func withoutLines(sources []Source) []Source {
	for i := range sources {
		s := &sources[i]
		s.Line, s.Zone = 0, nil
		for _, c := range [][]Column{s.Columns, s.Quantities} {
			for j := range c {
				c[j].Line = 0
			}
		}
		for j := range s.Constants {
			s.Constants[j].Line = 0
		}
		if s.Where != nil {
			s.Where.Line = 0
		}
	}
	return sources
}
