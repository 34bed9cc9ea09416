//go:build unix

package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// hostileNames are names that a file of an export may have.
var hostileNames = []string{
	"transports-\n\x1b[31mred.csv", "transports-'\"; drop table kept.transports; --.csv", "transports-[a]*?.csv", "transports--rf $(id) `id`.csv",
	"transports-\xff\xfe.csv", "transports-\U0001F691\u202Efdp.csv", "transports-%s%n\\x00.csv", "transports-=1+1,\t.csv", "transports-<b>&amp;.csv",
	"transports-" + strings.Repeat("ä", 120) + ".csv",
}

// hostileCells are cells that a record may have.
var hostileCells = []string{
	"=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(1)", "\x1b]0;owned\x07", "\x1b[2J", "a\u202Ecod.exe", "'; drop table kept.transports; --", "%s%d{{.}}${x}",
	"<script>alert(1)</script>", "\u0085next", "\u2028line", "\r\nsecond line", "\tcell", "[1, 2]", "\"quoted\"", "\U0001F691", "\ufeffmark",
}

// hostilePlace is a place with exports whose names, headers and cells are hostile, loaded.
func hostilePlace(t *testing.T) *place {
	t.Helper()
	p := newPlace(t)
	quoted := func(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }
	for i, name := range hostileNames {
		text := "transport_id,team,accepted_at,departed_base_at,\"te\nam\x1b[1m\",=1+1,\"x\"\"); drop table kept.events; --\"\n"
		for j, cell := range hostileCells {
			text += fmt.Sprintf("%s,%s,2026-01-05 10:00,2026-01-05 10:2%d,%[2]s,,\n", quoted(fmt.Sprintf("T%d-%d%s", i, j, cell)), quoted(cell), j%10)
			text += fmt.Sprintf(",%s,%s,%[2]s,%[1]s,,\n", quoted(cell), quoted(cell))
		}
		p.write("-in/"+name, text)
	}
	got := p.run("load", "--", "-in")
	if got.code != 0 {
		t.Fatalf("load: exit %d, %s", got.code, got.messages)
	}
	harmless(t, "load", got.out+got.messages)
	return p
}

// harmless holds a text for a terminal to visible characters, spaces and line ends.
func harmless(t *testing.T, what, text string) {
	t.Helper()
	if !utf8.ValidString(text) {
		t.Errorf("%s: not UTF-8: %q", what, text)
	}
	for _, r := range text {
		if r != '\n' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)) {
			t.Errorf("%s: prints %U:\n%q", what, r, text)
			return
		}
	}
}

// Whatever names, headers and cells hold, no output obeys it: not the terminal, not a spreadsheet, not a reader of JSON.
func TestHostileTexts(t *testing.T) {
	p := hostilePlace(t)
	for _, ask := range [][]string{
		{"ledger"}, {"ledger", "--loads"}, {"measure", "mobilization_time", "--by", "team"}, {"measure", "--supplies"}, {"settings"},
		{"query", "select team, transport_id from transports"}, {"query", "select file from files"}, {"query", "select team as \"=x\x1b[1m\" from transports"},
		{"query", "select map([team], [team]) as m, [team] as l, {'t': team} as s from transports"},
	} {
		what := strings.Join(ask, " ")
		if ask[0] != "settings" {
			harmless(t, what, p.good(ask...))
		}
		jsonLines(t, what, p.good(append(ask, "--format", "json")...))
		csvIsNoFormula(t, what, p.good(append(ask, "--format", "csv")...))
	}
	p.good("ledger", "--refused", "mend")
	for name, text := range p.files("mend") {
		csvIsNoFormula(t, name, text)
	}
	for file, line := range p.ledgerOf("load", "mend") {
		if line.Refused != len(hostileCells) || line.Stored != 0 {
			t.Errorf("%s: exported and loaded again: %+v", file, line)
		}
	}
	for _, args := range [][]string{{"load", "-in/\x1b[1mnone\n.csv"}, {"measure", "x\x1b[1m\ny"}, {"settings", "--time-zone", "\x1b[1m"}, {"query", "select \x1b[1m"}, {"load", "--format", "\u202e"}, {"query", "--views", "\n\x1b"}} {
		got := p.run(args...)
		if got.code == 0 || strings.Count(got.messages, "\n") != 1 {
			t.Errorf("%q: exit %d, %q", args, got.code, got.messages)
		}
		harmless(t, fmt.Sprintf("%q", args), got.messages)
	}
}

func jsonLines(t *testing.T, what, text string) {
	t.Helper()
	for line := range strings.Lines(text) {
		if !json.Valid([]byte(line)) || !utf8.ValidString(line) {
			t.Errorf("%s: no JSON: %q", what, line)
		}
	}
}

// csvIsNoFormula holds every cell to what a spreadsheet shows and does not run; numbers may have a sign.
func csvIsNoFormula(t *testing.T, what, text string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Errorf("%s: %v in %q", what, err, text)
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) && json.Unmarshal([]byte(cell), new(float64)) != nil {
				t.Errorf("%s: a spreadsheet would run %q", what, cell)
			}
		}
	}
}

// The names of files stand in the ledger as they are, but for bytes that are no text.
func TestHostileFileNames(t *testing.T) {
	p := hostilePlace(t)
	found := p.ledgerOf("ledger")
	for _, name := range hostileNames {
		if line := found[strings.ToValidUTF8(name, "\ufffd")]; line.Stored != len(hostileCells) || line.Refused != len(hostileCells) {
			t.Errorf("%q: %+v", name, line)
		}
	}
	if len(found) != len(hostileNames) {
		t.Errorf("%d files, want %d", len(found), len(hostileNames))
	}
}

// Whatever the umask, what is made belongs to its owner alone: store, log, scratch, key, reports, exports of refused rows; also
// where a file that others can read is replaced.
func TestModes(t *testing.T) {
	p := smallPlace(t)
	var log strings.Builder
	log.WriteString("\xef\xbb\xbfdevice_id,recorded_at,quantity,value\n")
	for i := range 50_000 {
		fmt.Fprintf(&log, "V1,2026-01-05 %02d:%02d:%02d,spo2,97\n", i/3600, i/60%60, i%60)
	}
	p.write("in/readings-long.csv", log.String())
	p.write("out/reports/committee-2026-01.html", "an old report")
	p.write("out/a.duckdb.key", strings.Repeat("ab", 32)+"\n")
	for _, name := range []string{"out", "out/reports", "out/reports/committee-2026-01.html", "out/a.duckdb.key"} {
		if err := os.Chmod(filepath.Join(p.dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	seen := map[string]bool{}
	open := func(args ...string) {
		cmd, messages := p.child()
		cmd.Path, cmd.Args = "/bin/sh", append([]string{"sh", "-c", `umask 000; exec "$0" "$@"`, os.Args[0]}, args...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		for {
			p.checkModes(seen)
			select {
			case err := <-done:
				if err != nil {
					t.Errorf("%v: %v, %s", args, err, messages)
				}
				return
			default:
			}
		}
	}
	open("load", "in", "--store", "out/a.duckdb")
	open("report", "committee", "--month", "2026-01", "--store", "out/a.duckdb", "--out", "out/reports")
	open("report", "committee", "--month", "2026-01", "--store", "out/a.duckdb", "--out", "out/more/reports", "--key-file", "out/keys/k")
	open("ledger", "--refused", "out/mend", "--store", "out/a.duckdb")
	open("query", "select max(x) from (select range::varchar || repeat('x', 300) as x from range(900000) order by hash(x))", "--store", "out/a.duckdb", "--memory", "160MB", "--threads", "1")
	open("invent", "--out", "out/invented", "--transports", "2", "--every", "10m")
	p.checkModes(seen)
	if !seen[".wal"] || !seen[".plain"] || !seen[".scratch-"] {
		t.Errorf("seen %v: log, plain copies and spilled data were not all looked at", seen)
	}
	for _, name := range []string{"out/a.duckdb.key", "out/keys/k", "out/reports/committee-2026-01.html", "out/more/reports/committee-2026-01.html"} {
		if info, err := os.Stat(filepath.Join(p.dir, name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info, err)
		}
	}
}

// checkModes looks at everything below out that is not as the test has made it, and remembers by which endings it was named.
func (p *place) checkModes(seen map[string]bool) {
	p.t.Helper()
	made := []string{"out", "out/reports", "out/reports/committee-2026-01.html", "out/a.duckdb.key"}
	err := filepath.WalkDir(filepath.Join(p.dir, "out"), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return nil // gone in the meantime
		}
		name := strings.TrimPrefix(path, p.dir+"/")
		info, err := d.Info()
		for _, ending := range []string{".wal", ".plain", ".scratch-"} {
			seen[ending] = seen[ending] || strings.Contains(name, ending)
		}
		for _, own := range made {
			if name == own {
				return nil
			}
		}
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			p.t.Errorf("%s: mode %v", name, info.Mode())
		}
		return nil
	})
	if err != nil {
		p.t.Fatal(err)
	}
}

// No patient's key and no narrative is told: not in a message, an error, a ledger, a measure, a query, a report, refusals of
// every kind included. The export of refused rows alone holds them, for its owner to mend.
func TestNoKeyIsTold(t *testing.T) {
	const key, story = "KEY-4711", "STORY-0815"
	p := newPlace(t)
	p.write("in/transports.csv", "transport_id,patient_key,vehicle,accepted_at,departed_base_at,weight\nT1,"+key+",ground,2026-01-05 10:00,2026-01-05 10:20,900\n,"+key+",ground,,,\nT3,"+key+",hovercraft,x,y,z\nT4,"+key+"\nT5,"+key+",ground,,,,,,\n")
	p.write("in/events.csv", "transport_id,kind,narrative\nT1,other,"+story+"\nT1,nothing,"+story+"\n,other,"+story+"\n")
	p.write("in/notes.txt", key)
	for name, text := range map[string]string{
		"open/transports.csv":   "transport_id,patient_key,team\nT1,\"" + key + ",x\nT2,y,z\n",
		"twice/transports.csv":  "transport_id,patient_key,patient_key\nT1," + key + "," + key + "\n",
		"zero/transports.csv":   "transport_id,patient_key\nT1," + key + "\x00\n",
		"head/transports.csv":   key + "," + story + "\nT1,x\n",
		"wide/transports.csv":   "transport_id,patient_key\nT1," + key + strings.Repeat("x", 3<<20) + "\nT2,\"" + key + "\n",
		"bytes/transports.csv":  "transport_id;patient_key\nT1;" + key + "\xff\xfe\n",
		"utf16/transports.csv":  "\xff\xfe" + string([]byte{'t', 0, 'x'}),
		"broken/events.csv.gz":  "\x1f\x8b" + key,
		"quoted/transports.csv": "transport_id,patient_key\n\"T1\"x,\"" + key + "\"" + key + "\n",
	} {
		p.write(name, text)
	}
	var told bytes.Buffer
	ask := func(args ...string) {
		got := p.run(args...)
		told.WriteString(got.out + got.messages)
		if strings.Contains(got.out+got.messages, key) || strings.Contains(got.out+got.messages, story) {
			t.Errorf("%v tells it: %s%s", args, got.out, got.messages)
		}
	}
	ask("load", "in")
	for _, folder := range []string{"open", "twice", "zero", "head", "wide", "bytes", "utf16", "broken", "quoted"} {
		ask("load", folder, "--store", folder+".duckdb")
	}
	for _, format := range []string{"table", "csv", "json"} {
		for _, command := range [][]string{{"ledger"}, {"ledger", "--loads"}, {"measure"}, {"measure", "--by", "vehicle"}, {"measure", "--supplies"}, {"query", "select * from transports"},
			{"query", "select * from events"}, {"query", "from files"}, {"query", "summarize transports"}} {
			ask(append(command, "--format", format)...)
		}
	}
	ask("report", "committee", "--month", "2026-01", "--out", "reports", "--name-transports")
	ask("load", "--undo", "1")
	for name, text := range p.files("reports") {
		if strings.Contains(text, key) || strings.Contains(text, story) {
			t.Errorf("%s holds it", name)
		}
	}
	if told.Len() < 10_000 {
		t.Errorf("only %d bytes were told", told.Len())
	}
}

// Settings that are wrong, too large or meant for something else end in one line that names the key or the file.
func TestHostileSettings(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	bomb := "a: &a [x,x,x,x,x,x,x,x,x]\n"
	for c := 'b'; c < 'k'; c++ {
		bomb += fmt.Sprintf("%c: &%[1]c [*%c,*%[2]c,*%[2]c,*%[2]c,*%[2]c,*%[2]c,*%[2]c,*%[2]c,*%[2]c]\n", c, c-1)
	}
	for name, text := range map[string]string{
		"bomb": bomb, "tabs": "\tstore: x\n", "binary": "\x00\x01\x02", "list": "- a\n- b\n", "unknown": "stor: x\n", "nested": "store: {a: {b: c}}\n",
		"memory": "memory: \"1GB'; drop table x; --\"\n", "threads": "threads: 1; attach 'x'\n", "zone": "time_zone: ../../etc/passwd\n", "timeout": "query_timeout: forever\n",
		"number": "acidosis: .nan\n", "infinite": "oxygen_reserve: .inf\n",
	} {
		p.write(name+".yaml", text)
		got := p.run("measure", "mobilization_time", "--settings", name+".yaml")
		if got.code != exitUsage && got.code != exitFailed || strings.Count(got.messages, "\n") != 1 || len(got.messages) > 1000 {
			t.Errorf("%s: exit %d, %.300q", name, got.code, got.messages)
		}
		harmless(t, name, got.messages)
	}
	p.write("key", "not a key")
	p.bad(exitFailed, "key key", "report", "committee", "--key-file", "key", "--out", "r", "--month", "2026-01")
	p.bad(exitFailed, "key in", "report", "committee", "--key-file", "in", "--out", "r", "--month", "2026-01")
	p.bad(exitFailed, "is a folder", "measure", "--store", "/dev/stdin")
}

// A cell of 100 MB is told and does not end the program; the rows beside it are kept or the whole file is refused.
func TestAnEnormousCell(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", "transport_id,team\nT1,"+strings.Repeat("x", 100<<20)+"\nT2,North\n")
	got := p.run("load", "in", "--format", "json")
	if len(got.messages) > 2000 || strings.Count(got.messages, "\n") < 1 || got.code > exitFailed {
		t.Fatalf("exit %d, %.2000q", got.code, got.messages)
	}
	if got.code == 0 {
		line := objects[ledgerLine](t, got.out)[0]
		if line.Read != 2 || line.Read != line.Stored+line.Refused+line.Repeated {
			t.Errorf("%+v", line)
		}
	} else if !strings.Contains(got.messages, "transports.csv") {
		t.Errorf("%q: names no file", got.messages)
	}
}
