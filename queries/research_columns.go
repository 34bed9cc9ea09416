package queries

import (
	"slices"

	"tripwake/pipeline/records"
)

// notRecorded adds the group of empty values to codes, for columns that the transports' view fills with it.
func notRecorded(codes []string) []string { return append(slices.Clone(codes), NotRecorded) }

// recorded is a column taken over from a table of records: its meaning, unit and codes stand in the record contract.
func recorded(table, column string, privacy Privacy) ResearchColumn {
	t, _ := records.Find(table)
	c, _ := t.Column(column)
	made := ResearchColumn{Name: c.Name, Kind: kindOf(c), Unit: c.Unit, Meaning: c.Meaning, Codes: c.Codes,
		Source: table + "." + column, Privacy: privacy, expr: "t." + column}
	if made.Meaning == "" {
		made.Meaning = "As recorded."
	}
	return made
}

func kindOf(c records.Column) ColumnKind {
	switch c.Kind {
	case records.Number:
		return NumberColumn
	case records.Flag:
		return FlagColumn
	case records.Code:
		return CodeColumn
	default:
		return TextColumn
	}
}

// grouped is a recorded code that is never empty: what is not recorded has a code of its own.
func grouped(column string, privacy Privacy) ResearchColumn {
	c := recorded("transports", column, privacy)
	c.Codes, c.expr = notRecorded(c.Codes), "coalesce(t."+column+", '"+NotRecorded+"')"
	return c
}

// counted is a whole number of the records.
func counted(c ResearchColumn) ResearchColumn {
	c.Kind = CountColumn
	return c
}

// The three ways in which a measure's facts become a column: a number (x), a count (x), a flag (x is 0 or 1).
func ofMeasure(measure string, kind ColumnKind, unit, meaning string, privacy Privacy) ResearchColumn {
	return ResearchColumn{Name: measure, Kind: kind, Unit: unit, Meaning: meaning, Source: "measure " + measure,
		Privacy: privacy, measure: measure, side: "x"}
}

func flagOf(measure, meaning string, privacy Privacy) ResearchColumn {
	return ofMeasure(measure, FlagColumn, "", meaning, privacy)
}

func derived(name string, kind ColumnKind, unit, meaning, source, expr string) ResearchColumn {
	return ResearchColumn{Name: name, Kind: kind, Unit: unit, Meaning: meaning, Source: source, Privacy: Plain, expr: expr}
}

// private gives columns another privacy class.
func private(p Privacy, columns ...ResearchColumn) []ResearchColumn {
	for i := range columns {
		columns[i].Privacy = p
	}
	return columns
}

// identityColumns say which transport it is, and where and when it was. None leaves the store, but the year.
func identityColumns() []ResearchColumn {
	month := derived("month", TextColumn, "", "Month of the transport in the team's zone, YYYY-MM.", "definitions: month of a transport", "strftime(t.month, '%Y-%m')")
	year := derived("year", CountColumn, "a", "Calendar year of that month.", "definitions: month of a transport", "year(t.month)")
	year.Privacy = QuasiIdentifier
	device := recorded("transports", "ventilator_id", Identifier)
	return []ResearchColumn{
		recorded("transports", "transport_id", Identifier),
		recorded("transports", "patient_key", Identifier),
		recorded("transports", "team", Identifier),
		recorded("transports", "referring_site", Identifier),
		recorded("transports", "receiving_site", Identifier),
		device,
		private(Identifier, month)[0],
		year,
		grouped("vehicle", QuasiIdentifier),
		grouped("urgency", Plain),
		recorded("transports", "disposition", Plain),
		recorded("transports", "disposition_reason", Plain),
		recorded("transports", "delay_reason", Plain),
		derived("completed", FlagColumn, "", "Disposition is completed, or not recorded.", "definitions: rows", "t.completed"),
		derived("went_out", FlagColumn, "", "Completed, or cancelled after leaving base.", "definitions: went out", "t.went_out"),
		derived("not_planned", FlagColumn, "", "Urgency is not planned.", "definitions: rows", "t.not_planned"),
		derived("unusual_times", FlagColumn, "", "A time of the transport fell into the repeated autumn hour.", "definitions: time", "t.flags is not null"),
	}
}

// patientColumns describe the patient. The exact numbers are quasi-identifiers that no extract holds: their bands stand for them.
func patientColumns() []ResearchColumn {
	return []ResearchColumn{
		grouped("sex", QuasiIdentifier),
		recorded("transports", "gestation", QuasiIdentifier),
		recorded("transports", "birth_weight", QuasiIdentifier),
		recorded("transports", "weight", QuasiIdentifier),
		recorded("transports", "age_at_call", QuasiIdentifier),
		{Name: "gestation_band", Kind: CodeColumn, Meaning: "Completed weeks of gestation at birth.", Source: "definitions: bands",
			Codes: notRecorded([]string{"under 28", "28–31", "32–36", "37 and more"}), Privacy: QuasiIdentifier, expr: "t.gestation_band"},
		{Name: "age_band", Kind: CodeColumn, Meaning: "Age at the call: under 29 d neonatal, to under 18 years paediatric.", Source: "definitions: bands",
			Codes: notRecorded([]string{"neonatal", "paediatric", "18 years and over"}), Privacy: QuasiIdentifier, expr: "t.age_band"},
		grouped("diagnosis", QuasiIdentifier),
		recorded("transports", "cooling", Sensitive),
	}
}

func intervalColumns() []ResearchColumn {
	var all []ResearchColumn
	for _, m := range [][2]string{
		{"mobilization_time", "From acceptance to leaving base; not of planned transports."},
		{"response_time", "From the call to arrival at the referring hospital; not of planned transports."},
		{"stabilization_time", "From arrival at the referring hospital to leaving it."},
		{"patient_leg_time", "From leaving the referring hospital to arrival at the receiving one."},
		{"trip_time", "From acceptance to ready again."},
		{"care_time", "Under way: from the patient's side to hand-over."},
	} {
		all = append(all, ofMeasure(m[0], NumberColumn, "min", m[1], Plain))
	}
	return all
}
