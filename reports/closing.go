package reports

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// notesPart is what the team changed and agreed.
type notesPart struct {
	Changes, Open, Closed table
	None                  bool
}

// qualityTables say what became of every row that was read, and what in the stored ones is doubtful. Tables without a row
// are left away.
func qualityTables(in Input, q queries.Quality) []table {
	var filled []table
	for _, t := range []table{ledgerTable(in.Ledger), reasonsTable(in.Ledger), flagsTable(q), stampsTable(q), logsTable(q), strayTable(q)} {
		if len(t.Rows) > 0 {
			filled = append(filled, t)
		}
	}
	return filled
}

func ledgerTable(ledger []LedgerLine) table {
	t := table{Caption: "Rows of all loads: read = stored + repeated + refused", Wide: true,
		Head: columns("Table", "Read#", "Stored#", "Repeated#", "Refused#", "Cells refused#", "Corrected later#")}
	for _, l := range ledger {
		t.add("", l.Table, count(l.Read), count(l.Stored), count(l.Repeated), count(l.Refused), count(l.CellsRefused), count(l.Superseded))
	}
	return t
}

func reasonsTable(ledger []LedgerLine) table {
	t := table{Caption: "Why rows were refused", Head: columns("Table", "Reason", "Rows#")}
	for _, l := range ledger {
		for _, reason := range slices.Sorted(maps.Keys(l.Reasons)) {
			t.add("", l.Table, words(reason), count(l.Reasons[reason]))
		}
	}
	return t
}

func flagsTable(q queries.Quality) table {
	t := table{Caption: "Stored rows with a flag", Head: columns("Table", "Flag", "Rows#")}
	for _, f := range q.Flags {
		t.add("", f.Table, words(f.Flag), count(f.Rows))
	}
	return t
}

func stampsTable(q queries.Quality) table {
	t := table{Caption: "Time stamps of completed transports", Head: columns("Stamp", "Transports#", "Missing#", "Out of order#")}
	for _, s := range q.Stamps {
		t.add("", capital(words(s.Stamp)), fmt.Sprint(s.Transports), fmt.Sprint(s.Missing), fmt.Sprint(s.OutOfOrder))
	}
	return t
}

// logsTable lists the logs with most rows that could not be used, and adds the others up.
func logsTable(q queries.Quality) table {
	t := table{Wide: true, Caption: "Device rows that could not be used",
		Head: columns("Device", "Log", "Rows#", "No transport found#", "Unknown transport#", "Outside the trip#")}
	logs := slices.DeleteFunc(slices.Clone(q.Logs), func(l queries.LogCount) bool { return unused(l) == 0 })
	slices.SortStableFunc(logs, func(a, b queries.LogCount) int { return cmp.Compare(unused(b), unused(a)) })
	shown := logs[:min(rowsShown, len(logs))]
	if len(logs) == rowsShown+1 {
		shown = logs
	}
	for _, l := range shown {
		t.log("", l.Device, l)
	}
	if others := logs[len(shown):]; len(others) > 0 {
		all := queries.LogCount{Table: "all"}
		for _, l := range others {
			all.Rows, all.Unlinked, all.Unknown, all.OutsideWindows = all.Rows+l.Rows, all.Unlinked+l.Unlinked, all.Unknown+l.Unknown, all.OutsideWindows+l.OutsideWindows
		}
		t.log("total", plural(len(others), "other"), all)
	}
	return t
}

func unused(l queries.LogCount) int64 { return l.Unlinked + l.Unknown + l.OutsideWindows }

func (t *table) log(class, device string, l queries.LogCount) {
	t.add(class, device, l.Table, count(l.Rows), count(l.Unlinked), count(l.Unknown), count(l.OutsideWindows))
}

func strayTable(q queries.Quality) table {
	t := table{Wide: true, Caption: "Events that count in no measure of their kind", Head: columns("Kind", "Why", "Events#")}
	for _, e := range q.Events {
		t.add("", words(e.Kind), queries.InWords(e.Reason), fmt.Sprint(e.Events))
	}
	return t
}

// methodPart says how the report was made, so that it can be made again.
type methodPart struct {
	Run    table
	Inputs table
	Few    int
	Named  bool // transports stand by their own names
	Span   string
	// Restarts is how many times limits were made anew by the settings.
	Restarts int
}

func methodOf(in Input, f facts) methodPart {
	m := methodPart{Few: measures.Few, Named: in.NameTransports, Span: in.Limits.Baseline.Words(), Restarts: len(in.Limits.Restarts)}
	m.Run = table{Caption: "This run", Class: "hashes", Head: columns("", "Value")}
	m.Run.add("", "Program version", orDash(in.Version))
	m.Run.add("", "Settings, SHA-256", orDash(in.SettingsHash))
	m.Run.add("", "Written at", in.GeneratedAt.UTC().Format(time.DateOnly+" 15:04")+" UTC")
	m.Run.add("", "First month with a transport", f.review.First)
	m.Inputs = table{Caption: "Files that the records came from", Class: "hashes inputs", Head: columns("File", "SHA-256")}
	for _, file := range in.Inputs {
		m.Inputs.add("", file.Name, file.SHA256)
	}
	return m
}
