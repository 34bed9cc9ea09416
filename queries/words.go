package queries

import "tripwake/pipeline/records"

// Words is a code or column of the records as people read it: "SpO2 low" for spo2_low.
func Words(code string) string { return records.Words(code) }

// InWords puts the names of the records that stand in a sentence of ours into words.
func InWords(sentence string) string { return records.InWords(sentence) }
