package layout

import (
	"strings"
	"testing"
)

// source makes a layout of one source of transports with the lines given after the obligatory ones.
func source(lines ...string) string {
	return "sources:\n  - files: a.csv\n    table: transports\n    columns:\n      transport_id: Run\n" + strings.Join(lines, "\n") + "\n"
}

// readingsOf makes a layout of one source of readings.
func readingsOf(lines ...string) string {
	return "sources:\n  - files: a.csv\n    table: readings\n    columns: {recorded_at: T}\n" + strings.Join(lines, "\n") + "\n"
}

// Each thing that can be wrong is told in one line that names file, line and key, and what comes nearest.
func TestErrors(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"empty":                {"", "l.yaml: is empty; expected the key sources with a list of sources"},
		"comment only":         {"# nothing\n", "l.yaml: is empty"},
		"no YAML":              {"sources: [\n", "l.yaml: is no YAML: line 1: did not find"},
		"tab":                  {"sources:\n\t- files: a\n", "l.yaml: is no YAML: line 2: found character that cannot start any token"},
		"two documents":        {source() + "---\na: 1\n", "l.yaml: holds text after its one document"},
		"list at the top":      {"- a\n", "l.yaml: line 1: expected the key sources"},
		"no sources":           {"{}\n", "l.yaml: line 1: expected the key sources"},
		"sources null":         {"sources:\n", "line 1, sources[1]: expected a source: files, table, columns"},
		"unknown top key":      {"source: []\n", `line 1, source: "source" is no key of a layout here; did you mean sources?`},
		"unknown key":          {source("    time_fromat: \"%Y\""), `line 6, sources[1].time_fromat: "time_fromat" is no key of a layout here; did you mean time_format?`},
		"far key":              {source("    x: 1"), `"x" is no key of a layout here; expected one of files, table, time_zone`},
		"key twice":            {source("    table: alarms"), "line 6, sources[1].table: stands twice, first on line 3; remove one"},
		"column twice":         {source("      team: A", "      team: B"), "line 7, sources[1].columns.team: stands twice, first on line 6"},
		"next_day of nothing":  {source("      arrived_referring_at: {from: [Date, Arrived], next_day: 12h}"), `line 6, sources[1].columns.arrived_referring_at: shares the header of its date with no time before it; expected both joined with it`},
		"next_day before":      {source("      called_at: {from: [Date, Call], next_day: 12h}", "      accepted_at: [Date, Task]"), `line 6, sources[1].columns.called_at: shares the header of its date with no time before it`},
		"next_day, other date": {source("      called_at: [Date, Call]", "      accepted_at: {from: [Date 2, Task], next_day: 12h}"), `line 7, sources[1].columns.accepted_at: shares the header of its date with no time before it`},
		"next_day alone":       {source("      called_at: [Date, Call]", "      accepted_at: {from: Date, next_day: 12h}"), `line 7, sources[1].columns.accepted_at: shares the header`},
		"next_day too long":    {source("      called_at: [Date, Call]", "      accepted_at: {from: [Date, Task], next_day: 24h}"), `line 7, sources[1].columns.accepted_at.next_day: "24h" is no time from one moment to the next; expected a duration from 1m to 22h such as 12h`},
		"next_day undecided":   {source("      called_at: [Date, Call]", "      accepted_at: {from: [Date, Task], next_day: decide}"), `"decide" is no time from one moment to the next`},
		"next_day none":        {source("      called_at: [Date, Call]", "      accepted_at: {from: [Date, Task], next_day: 0s}"), `"0s" is no time from one moment to the next`},
		"next_day of a text":   {source("      team: {from: [A, B], next_day: 12h}"), `line 6, sources[1].columns.team: column team has no place in the order of times of table transports; remove the key next_day`},
		"next_day with offset": {source("      called_at: [Date, Call]", "      accepted_at: {from: [Date, Task], next_day: 12h}", "    time_format: \"%Y-%m-%d %H:%M %z\""), `is written with its offset or in one number, which tells its day; remove the key next_day`},
		"next_day of quantity": {readingsOf("    quantities: {spo2: {from: S, next_day: 12h}}"), `is a number; expected from and unit alone`},
		"no files":             {"sources:\n  - table: alarms\n", "line 2, sources[1]: has no key files"},
		"no table":             {"sources:\n  - files: a.csv\n", "line 2, sources[1]: has no key table; expected one of transports"},
		"no columns":           {"sources:\n  - {files: a.csv, table: alarms}\n", "line 2, sources[1]: has no key columns"},
		"empty files":          {"sources:\n  - files:\n", "line 2, sources[1].files: expected a pattern of file names"},
		"absolute":             {"sources:\n  - files: /etc/a.csv\n", `line 2, sources[1].files: "/etc/a.csv" leads out of the folder that is loaded`},
		"parent":               {"sources:\n  - files: a/../../b.csv\n", `"a/../../b.csv" leads out of the folder`},
		"drive":                {"sources:\n  - files: 'C:b.csv'\n", `"C:b.csv" leads out of the folder`},
		"backslash":            {"sources:\n  - files: 'a\\b.csv'\n", `holds a backslash`},
		"open bracket":         {"sources:\n  - files: 'a[1.csv'\n", `"a[1.csv" is no pattern: a bracket is not closed`},
		"table":                {"sources:\n  - files: a.csv\n    table: transport\n", `line 3, sources[1].table: "transport" is no table; did you mean transports?`},
		"table far":            {"sources:\n  - files: a.csv\n    table: zebra\n", `"zebra" is no table; expected one of transports, assessments`},
		"zone":                 {source("    time_zone: Chicago"), `line 6, sources[1].time_zone: "Chicago" is no zone; expected an IANA name such as America/Chicago`},
		"local zone":           {source("    time_zone: Local"), `"Local" is no zone`},
		"token":                {source(`    time_format: "%Y-%m-%d %Q"`), `line 6, sources[1].time_format: "%Q" is no token of a time format; known are %% %A %B`},
		"broken token":         {source(`    time_format: "%Y-%m-%d %"`), `"%" is no token`},
		"no format":            {source(`    time_format: dd.mm.yyyy`), `"dd.mm.yyyy" is no time format; expected strptime tokens`},
		"no whole date":        {source(`    time_format: "%m/%d %H:%M"`), "gives no whole date; expected year, month and day"},
		"twelve hours":         {source(`    time_format: "%m/%d/%Y %I:%M"`), "hours to twelve (%I) without %p"},
		"no minutes":           {source(`    time_format: "%m/%d/%Y %H"`), "hours without minutes (%M)"},
		"date for a time":      {source("      called_at: Call", `    time_format: "%m/%d/%Y"`), `line 6, sources[1].columns.called_at: column called_at is a time, but the format "%m/%d/%Y" gives no time of day`},
		"own date format":      {source(`      called_at: {from: Call, format: "%m/%d/%Y"}`), "gives no time of day"},
		"format of no time":    {source("      team: {from: Team, format: iso}"), "column team is no time; remove the key format"},
		"column":               {source("      vehicel: Type"), `line 6, sources[1].columns.vehicel: "vehicel" is no column of table transports; did you mean vehicle?`},
		"no header":            {source("      vehicle:"), "line 6, sources[1].columns.vehicle: expected the header of a column"},
		"no from":              {source("      weight: {unit: kg}"), "line 6, sources[1].columns.weight: has no key from"},
		"joined number":        {source("      weight: [A, B]"), "joins 2 columns, which only a time or a text can be made of"},
		"five joined":          {source("      called_at: [A, B, C, D, E]"), "joins 5 columns; expected 4 at most"},
		"column key":           {source("      weight: {from: W, units: kg}"), `line 6, sources[1].columns.weight.units: "units" is no key of a layout here; did you mean unit?`},
		"unit":                 {source("      weight: {from: W, unit: kgg}"), `line 6, sources[1].columns.weight: unit "kgg" is not known; did you mean kg?`},
		"other dimension":      {source("      weight: {from: W, unit: psi}"), `unit "psi" measures pressure, expected one that converts to g (mass)`},
		"unit of a code":       {source("      vehicle: {from: W, unit: kg}"), "column vehicle has no unit; remove the key unit"},
		"code":                 {source("      vehicle: {from: T, codes: {HELI: rotr}}"), `line 6, sources[1].columns.vehicle: "rotr" is no code of vehicle, given for "HELI"; did you mean rotor?`},
		"flag":                 {source("      cooling: {from: T, codes: {J: yes}}"), `"yes" is no code of cooling, given for "J"; expected one of true, false`},
		"codes of a number":    {source("      weight: {from: T, codes: {x: y}}"), "column weight has no codes; remove the key codes"},
		"empty code text":      {source("      vehicle: {from: T, codes: {\"\": rotor}}"), "an empty cell can have no code"},
		"code text twice":      {source("      vehicle: {from: T, codes: {A: rotor, \" A\": ground}}"), `"A" stands twice; remove one`},
		"no codes":             {source("      vehicle: {from: T, codes: {}}"), "line 6, sources[1].columns.vehicle.codes: expected TEXT: CODE"},
		"constant column":      {source("    constants: {tem: North}"), `line 6, sources[1].constants.tem: "tem" is no column of table transports; did you mean team?`},
		"constant code":        {source("    constants: {vehicle: boat}"), `"boat" is no code of vehicle; expected one of ground, rotor, fixed_wing`},
		"constant number":      {source("    constants: {weight: heavy}"), `"heavy" is no number`},
		"constant range":       {source("    constants: {weight: 5}"), "5 is out of range; expected a number from 200 to 150000 g"},
		"constant time":        {source("    constants: {called_at: 03/31/2026}"), `"03/31/2026" is no time; expected one such as 2026-03-31 14:05`},
		"constant flag":        {source("    constants: {cooling: maybe}"), `"maybe" is neither true nor false`},
		"constant twice":       {source("    constants: {transport_id: T1}"), "column transport_id is mapped too; expected either a header or a constant"},
		"required":             {"sources:\n  - files: a.csv\n    table: alarms\n    columns: {started_at: T}\n", "line 2, sources[1]: gives no column condition, which table alarms must have"},
		"quantity":             {readingsOf("    quantities: {sp02: S}"), `line 5, sources[1].quantities.sp02: "sp02" is no quantity; did you mean spo2?`},
		"quantity unit":        {readingsOf("    quantities: {spo2: {from: S, unit: mL}}"), `unit "mL" measures volume, expected one that converts to % (ratio)`},
		"quantity codes":       {readingsOf("    quantities: {spo2: {from: S, codes: {a: b}}}"), "line 5, sources[1].quantities.spo2: is a number; expected from and unit alone"},
		"both forms":           {readingsOf("    quantities: {spo2: S}", "    constants: {unit: kPa}"), "gives both quantities and the column unit"},
		"quantities of":        {source("    quantities: {spo2: S}"), "quantities are for table readings, not transports"},
		"neither form":         {readingsOf(), "gives no column quantity, which table readings must have"},
		"delimiter":            {source("    delimiter: space"), `"space" is no delimiter; expected comma, semicolon, tab or bar`},
		"quotes":               {source("    quotes: single"), `"single" is none of doubled, backslash`},
		"encoding":             {source("    encoding: ebcdic"), `"ebcdic" is none of utf-8, utf-16le`},
		"decimal":              {source("    decimal: ','"), `"," is none of comma, point`},
		"skip":                 {source("    skip: two"), `line 6, sources[1].skip: "two" is no number of lines; expected one from 0 to 10000`},
		"clock":                {source("    clock_offset: 5"), `"5" is no duration; expected one such as 4m30s or -1h`},
		"clock too far":        {source("    clock_offset: 2000000h"), "is no duration"},
		"where":                {source("    where: {column: A}"), "line 6, sources[1].where: expected column, and either is or is_not"},
		"where both":           {source("    where: {column: A, is: b, is_not: c}"), "expected column, and either is or is_not"},
		"alias of itself":      {"sources: &a [*a]\n", "line 1"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("l.yaml", []byte(c.text))
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "l.yaml: ") || strings.Contains(err.Error(), "\n") {
				t.Errorf("%v\nwant one line with\n%s", err, c.want)
			}
		})
	}
}

// A layout of any bytes is read or refused in one line that names the file; what is read is read back from what is written.
func FuzzLayout(f *testing.F) {
	for _, text := range []string{design, source(), readingsOf("    quantities: {spo2: S}"), "sources: &a [*a]\n", "? [a]\n: b\n", "sources:\n  - <<: {files: a}\n",
		"sources: [{files: a, table: alarms, columns: {started_at: [A, B], condition: {from: C, codes: {x: ~, \"\\u2028\": leak}}}}]"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		l, err := Parse("l.yaml", text)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\r\n") || !strings.HasPrefix(err.Error(), "l.yaml: ") {
				t.Fatalf("error %q of %q", err, text)
			}
			return
		}
		if _, err := Parse("l.yaml", []byte(Render(l.Sources))); err != nil {
			t.Fatalf("%v: %q is written as %s", err, text, Render(l.Sources))
		}
	})
}
