package normalise_test

import (
	"slices"
	"testing"
	"time"
)

// Marks of thousands are read where they can be nothing else: blanks and apostrophes anywhere, a comma or point beside the
// decimal sign or twice. Alone it is either, unless another number of the file has settled it.
func TestMarksOfThousands(t *testing.T) {
	always := []expectation{
		{"12 500", "12500.0"}, {"12\u00a0500", "12500.0"}, {"12\u202f500", "12500.0"}, {"12'500", "12500.0"}, {"12’500", "12500.0"},
		{"12 50", "!unreadable"}, {"1 25 00", "!unreadable"}, {"12 500'000", "!unreadable"}, {"0 500", "!unreadable"}, {" 12 500 ", "12500.0"}, {"012 500", "!unreadable"}, {"12  500", "!unreadable"},
	}
	checkTransports(t, "weight", append(always, expectation{"12 500.5", "12500.5"}, expectation{"1,250", "!unreadable"}, expectation{"500.5", "500.5"}))
	checkTransports(t, "weight", []expectation{{"1,250.5", "1250.5"}, {"1,250", "1250.0"}, {"500.5", "500.5"}, {"+12,500", "12500.0"}, {"12,500,000", "!out_of_range"}})
	checkTransports(t, "weight", []expectation{{"1,250.5", "1250.5"}, {"1,250", "!unreadable"}, {"500,5", "!unreadable"}}) // 500,5 speaks against
	checkTransports(t, "weight", []expectation{{"1.250,5", "1250.5"}, {"1.250", "1250.0"}, {"500,5", "500.5"}, {"500", "500.0"}, {"12 500,5", "12500.5"}})
	checkTransports(t, "weight", []expectation{{"1.250,5", "!unreadable"}, {"1250.5", "1250.5"}, {"500,5", "!unreadable"}}) // 1250.5 speaks against
	checkTransports(t, "weight", []expectation{{"12 500,5", "12500.5"}, {"500,5", "500.5"}})
}

// A number may bear its unit; it goes before that of the header. A unit of something else is refused.
func TestUnitsAfterNumbers(t *testing.T) {
	checkTransports(t, "weight", []expectation{
		{"3 kg", "3000.0"}, {"3kg", "3000.0"}, {"3000 g", "3000.0"}, {"3000 GM", "3000.0"}, {"1 250 g", "1250.0"}, {"3 mL", "!unknown_unit"}, {"3 %", "!unknown_unit"}, {"300 kg", "!out_of_range"},
		{"3 stone", "!unreadable"}, {"3 kg 200 g", "!unreadable"}, {"kg", "!unreadable"},
	})
	checkTransports(t, "weight (lb)", []expectation{{"3 kg", "3000.0"}, {"6.6", "2993.709642"}})
	checkCells(t, "assessments", "transport_id;stage", "T#;referring_arrival", "temperature", []expectation{{"36.5 °C", "36.5"}, {"36.5C", "36.5"}, {"98.6 °F", "37.0"}, {"310.15 K", "37.0"}})
	checkCells(t, "assessments", "transport_id;stage", "T#;referring_arrival", "spo2", []expectation{{"92%", "92.0"}, {"92 %", "92.0"}, {"92 mmHg", "!unknown_unit"}})
	checkCells(t, "assessments", "transport_id;stage", "T#;referring_arrival", "fio2", []expectation{{"40%", "40.0"}, {"0.4", "40.0"}, {"0.4%", "!out_of_range"}})
	checkCells(t, "settings", "transport_id;recorded_at", "T#;2026-03-01 10:00", "flow", []expectation{{"8 L/min", "8.0"}, {"8 lpm", "8.0"}, {"8000 mL/min", "8.0"}, {"8 L", "!unknown_unit"}})
	checkCells(t, "transports", "transport_id", "T#", "intubation_attempts", []expectation{{"2", "2.0"}, {"200 %", "!unknown_unit"}})
}

// A bound says that the value lies beyond it: no value, whatever stands after it.
func TestBounds(t *testing.T) {
	checkTransports(t, "weight", []expectation{{"<3000", "!bound"}, {"< 3000", "!bound"}, {">= 3000 g", "!bound"}, {"≥3000", "!bound"}, {">", "!unreadable"}, {"<<3000", "!unreadable"}, {"~3000", "!unreadable"}, {"3000<", "!unreadable"}})
}

// Values whose unit stands in the row may bear it too; then that of the row, if there is one, must be the same.
func TestUnitsAfterValuesByRow(t *testing.T) {
	const head = "device_id,recorded_at,quantity,value,unit\n"
	const at = "V1,2026-03-01 10:00,"
	text := head + at + "temperature,98.6 °F,\n" + at + "temperature,37,\n" + at + "temperature,37 C,°C\n" + at + "temperature,98.6,degF\n" + at + "spo2,92%,\n" + at + "spo2,0.92,1\n" + at + "pip,20 mbar,mbar\n" + at + "pip,1e1,\n"
	st := loaded(t, "readings.csv", text, time.UTC)
	if got, want := table(t, st, "select value from kept.readings order by record_no"), []string{"37", "37", "37", "37", "92", "92", "20.39432426", "10"}; !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
	refused := head + at + "temperature,98.6 °F,°C\n" + at + "temperature,37 mL,\n" + at + "temperature,37 furlongs,\n" + at + "temperature,<37,\n"
	if got, want := table(t, loaded(t, "readings.csv", refused, time.UTC), "select reason from ledger.refused_rows order by record_no"),
		[]string{"unknown_unit", "unknown_unit", "unreadable", "bound"}; !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
	alarms := "device_id,started_at,condition,alarm_limit (mbar),observed (cmH2O)\nV1,2026-03-01 10:00,pip_high,30,35\nV1,2026-03-01 10:01,pip_high,30 cmH2O,35\nV1,2026-03-01 10:02,pip_high,30 cmH2O,35 mbar\n"
	if got, want := table(t, loaded(t, "alarms.csv", alarms, time.UTC), "select alarm_limit, observed from kept.alarms order by record_no"),
		[]string{"30.591486389|35", "30|35", "30|"}; !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}
