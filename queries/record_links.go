package queries

import _ "embed"

//go:embed record_links.sql
var recordLinksSQL string

// recordLinks counts the rows of device logs that are linked to a transport, by their own month.
var recordLinks = question{
	name: "record_links", text: recordLinksSQL,
	measures: map[string]shape{
		"record_linked": severalEach,
	},
}
