package queries

import _ "embed"

//go:embed leak_checks.sql
var leakChecksSQL string

// leakChecks looks for a passed leak check of the ventilator before the patient leg.
var leakChecks = question{
	name: "leak_checks", text: leakChecksSQL,
	measures: map[string]shape{
		"leak_check_passed": counts,
	},
}
