package queries

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

var (
	//go:embed research_episodes.sql
	researchEpisodesSQL string
	//go:embed research_alarms.sql
	researchAlarmsSQL string
	//go:embed research_gas.sql
	researchGasSQL string
	//go:embed research_power.sql
	researchPowerSQL string
	//go:embed research_missing.sql
	researchMissingSQL string
)

// ReleasedTable is one table of an extract: its columns, described as those of the research data set. Its rows are ordered
// by pseudonym, which tells nothing of time or place.
type ReleasedTable struct {
	Name, Meaning string
	Columns       []ResearchColumn
	text          string
}

// ReleasedTables describes the tables of an extract, in order: transports, episodes, alarms, gas, power, missing.
func ReleasedTables(d Disclosure) []ReleasedTable {
	transports := releasedTransports(d)
	return []ReleasedTable{
		{"transports", "One row for each transport of the cohort.", transports, transportsText(transports)},
		{"episodes", "One row for each episode of support under way.", episodeColumns(), researchEpisodesSQL},
		{"alarms", "One row for each transport, alarm condition and priority.", alarmTableColumns(), researchAlarmsSQL},
		{"gas", "One row for each completed transport and gas with a carried or vehicle cylinder.", gasTableColumns(), researchGasSQL},
		{"power", "One row for each completed transport with a power record of its ventilator.", powerTableColumns(), researchPowerSQL},
		{"missing", "One row for each measure that could not be judged on a transport.", missingColumns(), researchMissingSQL},
	}
}

// exact are the quasi-identifiers that no extract holds in full: bands stand for them.
var exact = []string{"gestation", "birth_weight", "weight", "age_at_call", "age_band"}

func codeColumn(name, letter, of string) ResearchColumn {
	return ResearchColumn{Name: name, Kind: TextColumn, Privacy: Pseudonym, Source: of,
		Meaning: fmt.Sprintf("Code of the %s: the letter %s and 16 hex digits of HMAC-SHA-256 under the team's key.", name, letter)}
}

func transportCode() ResearchColumn { return codeColumn("transport", "T", "transports.transport_id") }

// releasedTransports are the columns of the research data set that may leave the store, quasi-identifiers in bands.
func releasedTransports(d Disclosure) []ResearchColumn {
	released := []ResearchColumn{transportCode(), codeColumn("patient", "P", "transports.patient_key")}
	released[0].expr, released[1].expr = "d.code", "d.patient_code"
	for _, c := range ResearchColumns() {
		switch {
		case c.Privacy == Identifier || slices.Contains(exact, c.Name):
		case slices.Contains(quasi, c.Name):
			released = append(released, told(c))
		case c.Name == "hypothermia_on_arrival" || c.Name == "hyperthermia_on_arrival":
			c.expr = "if(d.age_group = " + literal(Withheld) + ", null, r." + c.Name + ")" // its population tells the age
			released = append(released, c)
		default:
			c.expr = "r." + c.Name
			released = append(released, c)
		}
		if c.Name == "sex" {
			released = append(released, bandColumns(d)...)
		}
	}
	return released
}

// told is a quasi-identifier as it is released: with the values that stand for less exact ones.
func told(c ResearchColumn) ResearchColumn {
	c.expr = "d." + c.Name
	switch c.Name {
	case "year":
		c.Meaning += " Empty where it is withheld."
		return c
	case "vehicle":
		c.Codes = append(slices.Clone(c.Codes), anyAircraft)
	case "gestation_band":
		c.Codes = append(slices.Clone(c.Codes), preterm)
	}
	c.Codes = append(slices.Clone(c.Codes), Withheld)
	return c
}

func bandColumns(d Disclosure) []ResearchColumn {
	band := func(name, unit, source, meaning string, limits []float64, more ...string) ResearchColumn {
		return ResearchColumn{Name: name, Kind: CodeColumn, Meaning: meaning, Source: source, Privacy: QuasiIdentifier,
			Codes: slices.Concat(bands(unit, limits), []string{NotRecorded}, more, []string{Withheld}), expr: "d." + name}
	}
	return []ResearchColumn{
		band("birth_weight_band", "g", "transports.birth_weight", "Weight at birth.", d.WeightLimits),
		band("weight_band", "g", "transports.weight", "Weight at transport.", d.WeightLimits),
		band("age_group", "d", "transports.age_at_call", "Age at the call; where few share it, neonatal (under 29 d) or paediatric.", d.AgeLimits,
			"neonatal", "paediatric", "18 years and over"),
	}
}

func transportsText(columns []ResearchColumn) string {
	parts := make([]string, len(columns))
	for i, c := range columns {
		parts[i] = c.expr + " as " + c.Name
	}
	return "select " + strings.Join(parts, ", ") + " from disclosed as d join research as r using (transport_id) order by d.code"
}

func columnOf(name string, kind ColumnKind, unit, meaning, source string) ResearchColumn {
	return ResearchColumn{Name: name, Kind: kind, Unit: unit, Meaning: meaning, Source: source, Privacy: Plain}
}

func codedColumn(name, meaning, source string, codes []string) ResearchColumn {
	c := columnOf(name, CodeColumn, "", meaning, source)
	c.Codes = codes
	return c
}

func codesOf(table, column string) []string { return recorded(table, column, Plain).Codes }

func episodeColumns() []ResearchColumn {
	return []ResearchColumn{
		transportCode(),
		columnOf("episode", CountColumn, "1", "Its number, from 1.", "definitions: support"),
		codedColumn("class", "Class of support.", "definitions: support", supportClasses),
		columnOf("from_minute", NumberColumn, "min", "Its beginning, counted from the beginning of under way.", "definitions: support"),
		columnOf("minutes", NumberColumn, "min", "Its length.", "definitions: support"),
		columnOf("tube", FlagColumn, "", "An invasive episode with interface tube.", "definitions: support"),
	}
}

func alarmTableColumns() []ResearchColumn {
	return []ResearchColumn{
		transportCode(),
		codedColumn("condition", "What alarmed.", "alarms.condition", codesOf("alarms", "condition")),
		codedColumn("priority", "Its priority (IEC 60601-1-8).", "alarms.priority", notRecorded(codesOf("alarms", "priority"))),
		columnOf("onsets", CountColumn, "1", "Onsets in monitored time.", "definitions: alarms"),
		columnOf("repeats", CountColumn, "1", "Onsets that were repeats.", "definitions: alarms"),
		columnOf("minutes", NumberColumn, "min", "Lengths of these alarms, summed.", "definitions: alarms"),
	}
}

func gasTableColumns() []ResearchColumn {
	all := []ResearchColumn{transportCode(), codedColumn("gas", "The gas.", "cylinders.gas", codesOf("cylinders", "gas"))}
	for _, c := range [][3]string{
		{"planned", "L", "Planned."}, {"used", "L", "Used from carried and vehicle cylinders, free gas."},
		{"gauge_error", "L", "Error of that, from the gauges' divisions."}, {"hindsight", "L", "What the settings in force would have used."},
		{"minutes", "min", "Time on carried gas."}, {"duration_effect", "L", "Beyond plan since that time differed."},
		{"settings_effect", "L", "Beyond plan since the settings differed."}, {"unexplained", "L", "Used less hindsight."},
		{"carried_left", "L", "Usable gas left in the carried cylinders."}, {"last_flow", "L/min", "Last demand of the gas."},
		{"minutes_left", "min", "How long what was left would have lasted at it."},
	} {
		all = append(all, columnOf(c[0], NumberColumn, c[1], c[2], "definitions: gas"))
	}
	return append(all, reasonColumn())
}

func powerTableColumns() []ResearchColumn {
	return []ResearchColumn{
		transportCode(),
		columnOf("lit", NumberColumn, "min", "On battery with the display lit.", "definitions: power"),
		columnOf("dimmed", NumberColumn, "min", "On battery with the display dimmed.", "definitions: power"),
		columnOf("share", NumberColumn, "1", "Part of the rated endurance that was used.", "definitions: power"),
		reasonColumn(),
	}
}

func missingColumns() []ResearchColumn {
	var measures []string
	for _, question := range questions() {
		for measure := range question.measures {
			measures = append(measures, measure)
		}
	}
	slices.Sort(measures)
	return []ResearchColumn{transportCode(), codedColumn("measure", "A measure's id.", "measures", measures), reasonColumn()}
}

func reasonColumn() ResearchColumn {
	return codedColumn("left_out", "Why it could not be judged; empty where it was.", "definitions", leftOutReasons())
}

// leftOutReasons lists what the questions can say of a member that cannot be judged.
func leftOutReasons() []string {
	reasons := []string{"end before start", "under way missing", "cylinder without a mass", "cylinder without a pressure", "cylinder size unknown",
		"used at or below 0", "end of wall supply unknown", "no time on carried gas", "no battery rating",
		"at_patient_at and arrived_referring_at missing", "handed_over_at and arrived_receiving_at missing"}
	for _, stamp := range records.Stamps() {
		reasons = append(reasons, stamp+" missing")
	}
	for _, name := range []string{"temperature", "glucose", "pco2", "ph", "tube_confirmed", "handover_structured", "died_in_transit", "died_within_7_days"} {
		reasons = append(reasons, name+" not recorded")
	}
	for _, gas := range codesOf("cylinders", "gas") {
		reasons = append(reasons, "no "+gas+" cylinder recorded", "last "+records.Words(gas)+" demand unknown")
	}
	return reasons
}

// Values is one column of a Batch. Valid says which cells are filled; the one slice that the column's kind names holds the
// cells, with the zero value in those that are not.
type Values struct {
	Valid   []bool
	Numbers []float64 // number
	Counts  []int64   // count
	Flags   []bool    // flag
	Texts   []string  // code, text
}

// Batch is some rows of a table, column by column, in the order of its columns.
type Batch struct {
	Rows    int
	Columns []Values
}

// Batches reads a table of the extract prepared by Release, size rows at a time, in its order. A batch stays as it is when
// the next is read.
func (r *Reader) Batches(ctx context.Context, t ReleasedTable, size int, give func(Batch) error) error {
	if err := r.build(ctx, t.text, ""); err != nil {
		return err
	}
	rows, err := r.db.QueryContext(ctx, t.text)
	if err != nil {
		return fmt.Errorf("queries: extract: %s: %w", t.Name, err)
	}
	defer rows.Close()
	b := newBatch(t.Columns, size)
	for rows.Next() {
		if err := errors.Join(rows.Scan(b.cells...), b.take()); err != nil {
			return fmt.Errorf("queries: extract: %s: %w", t.Name, err)
		}
		if b.Rows == size {
			if err := give(b.Batch); err != nil {
				return err
			}
			b = newBatch(t.Columns, size)
		}
	}
	if err := rows.Err(); err != nil {
		return fmt.Errorf("queries: extract: %s: %w", t.Name, err)
	}
	if b.Rows == 0 {
		return nil
	}
	return give(b.Batch)
}

// filling is a batch that is being filled: one cell a column, and what moves it into the column's slice, or says that it is of
// another type. Cells come as the driver has them: a conversion of each would cost as much as the rest of the reading.
type filling struct {
	Batch
	cells []any
	moves []func() bool
}

func newBatch(columns []ResearchColumn, size int) *filling {
	b := &filling{Batch: Batch{Columns: make([]Values, len(columns))}}
	for i, c := range columns {
		v := &b.Columns[i]
		v.Valid = make([]bool, 0, size)
		switch c.Kind {
		case NumberColumn:
			add(b, &v.Valid, &v.Numbers)
		case CountColumn:
			add(b, &v.Valid, &v.Counts)
		case FlagColumn:
			add(b, &v.Valid, &v.Flags)
		default:
			add(b, &v.Valid, &v.Texts)
		}
	}
	return b
}

func add[T any](b *filling, valid *[]bool, values *[]T) {
	cell := new(any)
	b.cells = append(b.cells, cell)
	b.moves = append(b.moves, func() bool {
		value, filled := (*cell).(T)
		*valid, *values = append(*valid, filled), append(*values, value)
		return filled || *cell == nil
	})
}

func (b *filling) take() error {
	for i, move := range b.moves {
		if !move() {
			return fmt.Errorf("column %d is of another type than it is described as", i+1)
		}
	}
	b.Rows++
	return nil
}
