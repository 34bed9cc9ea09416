package extract

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
	"tripwake/queries"
)

// planted is a store in which every text column of every table holds a text that is found nowhere else.
type planted struct {
	t     *testing.T
	store *store.Store
	texts []string
}

// plant makes a store of transports that differ in nothing but their keys, and gives every text column of every table its
// own text, in a row of the first transport.
func plant(t *testing.T, transports int) planted {
	t.Helper()
	st := storetest.Open(t, store.Options{Threads: 1})
	p := planted{t: t, store: st}
	p.exec(fmt.Sprintf(`insert into kept.transports (transport_id, patient_key, team, referring_site, receiving_site, ventilator_id, vehicle, sex, diagnosis,
		weight, age_at_call, gestation, accepted_at, departed_base_at, at_patient_at, departed_referring_at, handed_over_at, available_at, died_within_7_days,
		superseded, file_id, record_no)
		select 'Run-' || i, 'Key-' || i, 'Team Quercus', 'Site Betula', 'Site Fagus', 'Vent-' || i %% 3, 'ground', 'female', 'cardiac', 3000, 2, 39,
		s, s + interval 20 minute, s + interval 60 minute, s + interval 120 minute, s + interval 180 minute, s + interval 240 minute, i %% 20 = 0, false, 1, i
		from (select i, timestamp '2026-03-10 08:17:43' + to_hours(i) as s from range(%d) r(i))`, transports))
	p.texts = []string{"Run-0", "Key-1", "Team Quercus", "Site Betula", "Site Fagus", "Vent-1", "2026-03-10", "08:17", "Smith"}
	for _, table := range records.Tables() {
		if table.Name != "transports" {
			p.row(table)
		}
	}
	p.exec("insert into ledger.refused_cells values (1, 1, 'weight', 'unreadable', 'Baby Smith')")
	return p
}

// row adds one row of a table, each text its own; keys of transports are those of the first transport.
func (p *planted) row(table records.Table) {
	names, values := []string{"file_id", "record_no"}, []string{"1", "1"}
	for _, c := range table.Columns {
		value := "null"
		switch {
		case c.Name == "transport_id":
			value = "'Run-0'"
		case c.Name == "unit" || c.Name == "size" || c.Name == "measure":
		case c.Kind == records.Text:
			text := fmt.Sprintf("Planted %s in %s", c.Name, table.Name)
			p.texts, value = append(p.texts, text), store.Literal(text)
		case c.Kind == records.Code:
			value = store.Literal(c.Codes[0])
		case c.Kind == records.Time:
			value = "timestamp '2026-03-10 10:00:00'"
		case c.Kind == records.Number:
			value = "50"
		}
		names, values = append(names, store.Quote(c.Name)), append(values, value)
	}
	if table.Log {
		names, values = append(names, "trip"), append(values, "'Run-0'")
	}
	if table.Identifier != "" {
		names, values = append(names, "superseded"), append(values, "false")
	}
	p.exec(fmt.Sprintf("insert into kept.%s (%s) values (%s)", store.BaseTables(table)[0], strings.Join(names, ", "), strings.Join(values, ", ")))
}

func (p planted) exec(text string) {
	p.t.Helper()
	if _, err := p.store.DB().Exec(text); err != nil {
		p.t.Fatalf("%v in %s", err, text)
	}
}

// input is that of a command, over the store as it is now.
func (p planted) input() Input {
	p.t.Helper()
	r, err := queries.Open(p.t.Context(), p.store, queries.Defaults())
	if err != nil {
		p.t.Fatal(err)
	}
	d := queries.DefaultDisclosure()
	d.Key = []byte(strings.Repeat("k", 32))
	hash := strings.Repeat("0123456789abcdef", 4)
	return Input{Reader: r, Disclosure: d, Version: "test", Inputs: []string{hash}, StoreHash: hash, SettingsHash: hash}
}

// files reads a folder.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		all[e.Name()] = string(text)
	}
	return all
}

func columnAt(t *testing.T, tables []queries.ReleasedTable, table, column string) int {
	t.Helper()
	for _, one := range tables {
		if one.Name == table {
			if at := slices.IndexFunc(one.Columns, func(c queries.ResearchColumn) bool { return c.Name == column }); at >= 0 {
				return at
			}
		}
	}
	t.Fatalf("no column %s.%s", table, column)
	return 0
}
