package queries

import _ "embed"

//go:embed support_changes.sql
var supportChangesSQL string

// supportChanges counts changes of support class and finds escalations from non-invasive to invasive.
var supportChanges = question{
	name: "support_changes", text: supportChangesSQL,
	measures: map[string]shape{
		"conversions": counts,
		"escalations": counts,
	},
}
