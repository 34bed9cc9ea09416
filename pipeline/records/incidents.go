package records

var events = Table{
	Name:       "events",
	Meaning:    "Adverse events.",
	Identifier: "event_id",
	Columns: []Column{
		{Name: "event_id", Kind: Text},
		{Name: "transport_id", Kind: Text, Required: true},
		{Name: "recorded_at", Kind: Time},
		{Name: "kind", Kind: Code, Required: true, Codes: codes("unplanned_extubation", "tube_obstruction", "line_dislodgement", "air_leak", "cardiac_arrest", "hypotension", "bradycardia", "desaturation", "medication_error", "equipment_failure", "gas_supply_failure", "power_failure", "patient_injury", "crew_injury", "vehicle_incident", "other")},
		{Name: "harm", Kind: Code, Codes: codes("none", "mild", "moderate", "severe", "death")},
		{Name: "preventable", Kind: Flag},
		{Name: "device_id", Kind: Text},
		{Name: "narrative", Kind: Text, Meaning: "Free text: kept in the store only; never in a report or an extract."},
	},
}

var notes = Table{
	Name:    "notes",
	Meaning: "What the team changed or agreed.",
	Columns: []Column{
		{Name: "noted_on", Kind: Date, Required: true, Meaning: "What the team changed or agreed: shown on the charts."},
		{Name: "measure", Kind: Text, Meaning: "A measure's id; empty: all."},
		{Name: "kind", Kind: Code, Required: true, Codes: codes("change", "action")},
		{Name: "text", Kind: Text, Required: true, Meaning: "Shown in the committee report: no patient in it."},
		{Name: "owner", Kind: Text},
		{Name: "closed_on", Kind: Date},
	},
}
