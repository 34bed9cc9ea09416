package normalise_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// expectation is a cell's text and what must become of it: the value, or ! and the reason.
type expectation struct{ text, want string }

func checkCells(t *testing.T, tableName, required, filling, header string, cases []expectation) {
	t.Helper()
	t.Run(tableName+" "+header, func(t *testing.T) {
		var cells []string
		for _, c := range cases {
			cells = append(cells, c.text)
		}
		got := outcomes(t, tableName, required, filling, header, cells, time.UTC)
		for i, c := range cases {
			if got[i] != c.want {
				t.Errorf("%q: %s, want %s", c.text, got[i], c.want)
			}
		}
	})
}

func checkTransports(t *testing.T, header string, cases []expectation) {
	t.Helper()
	checkCells(t, "transports", "transport_id", "T#", header, cases)
}

func TestNumbers(t *testing.T) {
	checkTransports(t, "weight", []expectation{
		{"3000", "3000.0"}, {" 3000 ", "3000.0"}, {"\t3000\u00a0", "3000.0"}, {"3000.5", "3000.5"}, {"3e3", "3000.0"}, {"+3000", "3000.0"}, {"", ""}, {"   ", ""},
		{"nan", "!unreadable"}, {"NaN", "!unreadable"}, {"inf", "!unreadable"}, {"-Infinity", "!unreadable"}, {"1e999", "!unreadable"}, {"1_000", "!unreadable"}, {"+-5", "!unreadable"},
		{"3 000", "3000.0"}, {"3000 g", "3000.0"}, {"3 kg", "3000.0"}, {"6.6 lb", "2993.709642"}, {"3000 mL", "!unknown_unit"}, {"3000 furlongs", "!unreadable"}, {"0x1000", "!unreadable"}, {"--", "!unreadable"}, {"<3000", "!bound"}, {"> 60", "!bound"}, {"≤3000 g", "!bound"}, {"<", "!unreadable"}, {"3.000.1", "!unreadable"}, {"true", "!unreadable"},
		{"200", "200.0"}, {"199.9999999999", "199.9999999999"}, {"199.999999999", "!out_of_range"}, {"150000", "150000.0"}, {"150000.0000000001", "150000.0000000001"}, {"150000.00001", "!out_of_range"}, {"-3000", "!out_of_range"}, {"0", "!out_of_range"},
	})
}

// A comma is the decimal sign where no number of the file has a point and the delimiter is another.
func TestDecimalCommas(t *testing.T) {
	checkTransports(t, "weight", []expectation{{"3000,5", "3000.5"}, {"250", "250.0"}, {"3,5e3", "3500.0"}, {"1,000,5", "!unreadable"}, {"199,9", "!out_of_range"}})
	checkTransports(t, "weight", []expectation{{"3000,5", "!unreadable"}, {"250.5", "250.5"}})
}

func TestHeaderUnits(t *testing.T) {
	checkTransports(t, "birth_weight [lb_av]", []expectation{{"5", "2267.96185"}, {"0.44092", "!out_of_range"}, {"x", "!unreadable"}})
	checkTransports(t, "birth_weight (kg)", []expectation{{"0.2", "200.0"}, {"0.1999999999", "!out_of_range"}, {"7", "7000.0"}})
	checkTransports(t, "age_at_call (h)", []expectation{{"36", "1.5"}, {"0", "0.0"}})
	checkTransports(t, "weight (mL)", []expectation{{"3000", "!unknown_unit"}, {"x", "!unknown_unit"}, {"", ""}})
	checkTransports(t, "weight (stone)", []expectation{{"3000", "!unknown_unit"}})
	// NIST SP 811: 1 psi = 6.894757293168 kPa; Cel = (degF − 32)/1.8.
	checkCells(t, "cylinders", "transport_id;gas", "T#;oxygen", "start_pressure (psi)", []expectation{{"2200", "15168.46604497"}, {"0", "0.0"}})
	checkCells(t, "cylinders", "transport_id;gas", "T#;oxygen", "start_temperature [degF]", []expectation{{"98,6", "37.0"}, {"-40", "-40.0"}, {"158", "70.0"}, {"158,1", "!out_of_range"}})
	checkCells(t, "assessments", "transport_id;stage", "T#;referring_arrival", "glucose (mmol/L)", []expectation{{"5", "90.08"}})
	checkCells(t, "settings", "transport_id;recorded_at", "T#;2026-03-01 10:00", "frequency (/min)", []expectation{{"600", "10.0"}, {"59", "!out_of_range"}})
}

func TestInspiredOxygen(t *testing.T) {
	for _, header := range []string{"fio2"} {
		checkCells(t, "assessments", "transport_id;stage", "T#;referring_arrival", header, []expectation{
			{"0.21", "21.0"}, {"0.209", "20.9"}, {"1", "100.0"}, {"1.0", "100.0"}, {"0.29", "29.0"}, {"0.57", "57.0"}, {"21", "21.0"}, {"20.9", "20.9"}, {"100", "100.0"}, {"20.8999999999", "20.8999999999"},
			{"0.2", "!out_of_range"}, {"1.01", "!out_of_range"}, {"20.8", "!out_of_range"}, {"100.1", "!out_of_range"}, {"0", "!out_of_range"},
		})
	}
	checkCells(t, "settings", "transport_id;recorded_at", "T#;2026-03-01 10:00", "fio2 (fraction)", []expectation{{"0.4", "40.0"}, {"1", "100.0"}, {"40", "!out_of_range"}, {"0.005", "!out_of_range"}})
	checkCells(t, "settings", "transport_id;recorded_at", "T#;2026-03-01 10:00", "fio2 (%)", []expectation{{"40", "40.0"}, {"21", "21.0"}})
}

func TestGestation(t *testing.T) {
	checkTransports(t, "gestation", []expectation{
		{"27+3", "27.428571428571427"}, {"27 + 3", "27.428571428571427"}, {"27+0", "27.0"}, {"27w3d", "27.428571428571427"}, {"27 wks 3 days", "27.428571428571427"}, {"27 3/7", "27.428571428571427"}, {"27 wk", "27.0"}, {"27+6", "27.857142857142858"}, {"27", "27.0"}, {"27.5", "27.5"}, {"45", "45.0"}, {"20+0", "20.0"},
		{"27+7", "!unreadable"}, {"27 3", "!unreadable"}, {"27w7d", "!unreadable"}, {"27 7/7", "!unreadable"}, {"27w3d2", "!unreadable"}, {"27+", "!unreadable"}, {"+3", "!unreadable"}, {"a+1", "!unreadable"}, {"27+3+1", "!unreadable"}, {"27+33", "!unreadable"}, {"27/7", "!unreadable"},
		{"45+1", "!out_of_range"}, {"19+6", "!out_of_range"},
	})
	checkTransports(t, "gestation (d)", []expectation{{"189", "27.0"}})
}

// Pounds and ounces: NIST SP 811, 1 lb = 453.59237 g, 16 oz to the pound.
func TestPoundsAndOunces(t *testing.T) {
	checkTransports(t, "birth_weight", []expectation{
		{"5 lb 3 oz", "2353.010419375"}, {"5lb3oz", "2353.010419375"}, {"5 LBS, 3 OZ.", "2353.010419375"}, {"2 pounds 8 ounces", "1133.980925"}, {"5 lb 3.5 oz", "2367.185180938"}, {"5 lb", "2267.96185"},
		{"5 lb 16 oz", "!unreadable"}, {"5 3", "!unreadable"}, {"5 lb oz", "!unreadable"}, {"0 lb 1 oz", "!out_of_range"},
	})
	checkTransports(t, "weight (lb)", []expectation{{"5 lb 3 oz", "2353.010419375"}, {"5", "2267.96185"}})
}

func TestFlags(t *testing.T) {
	var cases []expectation
	for want, texts := range map[string]string{"true": "true yes y t 1 on TRUE Yes oN", "false": "false no n f 0 off FALSE No OFF", "!unreadable": "2 -1 maybe x 1.0 ✓ null"} {
		for _, text := range strings.Fields(texts) {
			cases = append(cases, expectation{text, want})
		}
	}
	checkTransports(t, "cooling", append(cases, expectation{"", ""}))
}

func TestCodes(t *testing.T) {
	checkTransports(t, "vehicle", []expectation{{"ground", "ground"}, {"GROUND", "ground"}, {" Fixed_Wing ", "fixed_wing"}, {"", ""}, {"fixed wing", "!unknown_code"}, {"car", "!unknown_code"}, {"ground\n", "!unknown_code"}})
}

func TestTexts(t *testing.T) {
	checkTransports(t, "team", []expectation{{" a b ", "a b"}, {"\u00a0x", "x"}, {"", ""}, {"NULL", "NULL"}, {"\\N", "\\N"}, {"a\nb", "a\nb"}, {"é", "é"}, {"é ", "é"}, {"\"q\"", "\"q\""}})
}

func TestDates(t *testing.T) {
	checkCells(t, "devices", "device_id;kind", "V#;pump", "retired_on", []expectation{
		{"2026-03-31", "2026-03-31"}, {"2024-02-29", "2024-02-29"}, {" 2026-03-31", "2026-03-31"}, {"", ""},
		{"2026-02-29", "!unreadable"}, {"2026-13-01", "!unreadable"}, {"31.03.2026", "!unreadable"}, {"03/31/2026", "!unreadable"}, {"2026-3-31", "!unreadable"}, {"epoch", "!unreadable"}, {"infinity", "!unreadable"},
		{"2026-03-31 10:00", "!unreadable"}, {"20260331", "!unreadable"}, {"2026/03/31", "!unreadable"}, {"0000-00-00", "!unreadable"}, {"2026-03-3 ", "!unreadable"}, {"-026-03-31", "!unreadable"}, {"2026-03-+1", "!unreadable"}, {"12-03-2026", "!unreadable"},
	})
}

func TestTimes(t *testing.T) {
	checkTransports(t, "called_at", []expectation{
		{"2026-03-31 14:05", "2026-03-31 14:05:00"}, {"2026-03-31T14:05", "2026-03-31 14:05:00"}, {"2026-03-31 14:05:06", "2026-03-31 14:05:06"}, {"2026-03-31T14:05:06.5", "2026-03-31 14:05:06.5"},
		{"2026-03-31 14:05:06.123456", "2026-03-31 14:05:06.123456"}, {"2026-03-31 9:05", "2026-03-31 09:05:00"}, {" 2026-03-31 14:05 ", "2026-03-31 14:05:00"}, {"", ""},
		{"2026-03-31 14:05Z", "2026-03-31 14:05:00"}, {"2026-03-31T14:05:06z", "2026-03-31 14:05:06"}, {"2026-03-31 14:05+02", "2026-03-31 12:05:00"}, {"2026-03-31 14:05 +02:00", "2026-03-31 12:05:00"}, {"2026-03-31 14:05:00-0630", "2026-03-31 20:35:00"},
		{"2026-03-31 14:05+05:45", "2026-03-31 08:20:00"}, {"2026-01-01 00:00:00.25+00:30", "2025-12-31 23:30:00.25"}, {"2026-03-31T14:05:06-00:00", "2026-03-31 14:05:06"}, {"2026-03-31 14:05+14:00", "2026-03-31 00:05:00"},
		{"2026-03-31", "!unreadable"}, {"31.03.2026 14:05", "!unreadable"}, {"03/31/2026 14:05", "!unreadable"}, {"2026-03-31 2:05 PM", "!unreadable"}, {"2026-02-30 14:05", "!unreadable"}, {"2026-03-31 25:00", "!unreadable"}, {"2026-03-31 14:60", "!unreadable"}, {"2026-03-31 14:05:61", "!unreadable"},
		// ISO 8601: 24:00 is the end of the day, 00:00 of the next.
		{"2026-03-31 24:00", "2026-04-01 00:00:00"}, {"2026-03-31 24:00:00", "2026-04-01 00:00:00"}, {"2026-03-31 24:00Z", "2026-04-01 00:00:00"}, {"2026-03-31 24:01", "!unreadable"}, {"2026-03-31 24:00:01", "!unreadable"},
		{"epoch", "!unreadable"}, {"infinity", "!unreadable"}, {"-infinity", "!unreadable"}, {"now", "!unreadable"}, {"today", "!unreadable"}, {"1774965900", "!unreadable"}, {"46112.5868", "!unreadable"},
		{"2026-03-31 14:05 UTC", "!unreadable"}, {"2026-03-31 14:05 CST", "!unreadable"}, {"2026-03-31 14:05 America/Chicago", "!unreadable"}, {"2026-03-31 14:05+99:99", "!unreadable"}, {"2026-03-31 14:05+02:75", "!unreadable"}, {"2026-03-31 14:05+1", "!unreadable"},
		{"2026-03-31 14:05:0Z", "!unreadable"}, {"2026-03-31 14:5+02", "!unreadable"}, {"2026-03-31 14:05:5Z", "!unreadable"}, {"2026-03-31 1 :05:00", "!unreadable"}, {"-026-03-31 14:05:00", "!unreadable"}, {"0000-00-00 00:00:00", "!unreadable"}, {"2026-03-3  14:05:00", "!unreadable"}, {"2026-3 -31 14:05:00", "!unreadable"},
	})
}

// Each of two columns has the unit of its own header.
func TestAlarmHeaderUnits(t *testing.T) {
	const head = "device_id,started_at,condition,alarm_limit (mbar),observed (cmH2O)\n"
	st := loaded(t, "alarms.csv", head+"V1,2026-03-01 10:00,pip_high,30,35\n", time.UTC)
	if got := table(t, st, "select alarm_limit, observed from kept.alarms"); !slices.Equal(got, []string{"30.591486389|35"}) {
		t.Errorf("limit and observed %q, want 30 mbar and 35 cm[H2O]", got)
	}
}

// Values by row: the unit in the row, else that of the header, else that of the quantity.
func TestUnitsByRow(t *testing.T) {
	const head = "device_id,recorded_at,quantity,value,unit\n"
	const at = "V1,2026-03-01 10:00,"
	text := head + at + "temperature,98.6,degF\n" + at + "temperature,37,\n" + at + "temperature,310.15,K\n" + at + "temperature,37,°C\n" +
		at + "PIP,20,mbar\n" + at + "pip,20,cmH2O\n" + at + "pip,20,cm H2O\n" + at + "oxygen_supply_pressure,50,psi\n" + at + "expired_tidal_volume,0.05,L\n" +
		at + "fio2,0.4,\n" + at + "fio2,0.4,fraction\n" + at + "fio2,0.4,%\n" + at + "fio2,40,%\n" + at + "fio2,0.004,1\n" + at + "spo2,0.95,\n" + at + "spo2,0.95,1\n" + at + "pip,-20,\n" + at + "minute_volume,500,mL/min\n" + at + "pip,-20.0000000001,\n"
	want := []string{"37", "37", "37", "37", "20.39432426", "20", "20", "344.737864658", "50",
		"40", "40", "0.4", "40", "0.4", "0.95", "95", "-20", "0.5", "-20.0000000001"}
	if got := table(t, loaded(t, "readings.csv", text, time.UTC), "select value from kept.readings order by record_no"); !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
	refused := head + at + "temperature,37,furlong\n" + at + "temperature,37,mL\n" + at + "pip,1e3,\n" + at + "leak,nan,%\n" + at + "leak,,%\n" + at + "pulse,1,%\n" + at + ",1,%\n" + at + "pip,-20.1,\n"
	wantReasons := []string{"value|unknown_unit", "value|unknown_unit", "value|out_of_range", "value|unreadable", "value|empty", "quantity|unknown_code", "quantity|empty", "value|out_of_range"}
	if got := table(t, loaded(t, "readings.csv", refused, time.UTC), "select column_name, reason from ledger.refused_rows order by record_no"); !slices.Equal(got, wantReasons) {
		t.Errorf("\n got %q\nwant %q", got, wantReasons)
	}
	inHeader := "device_id,recorded_at,quantity,value (degF),unit\n" + at + "temperature,98.6,\n" + at + "temperature,37,Cel\n" + at + "pip,20,\n"
	st := loaded(t, "readings.csv", inHeader, time.UTC)
	if got := table(t, st, "select value from kept.readings order by record_no"); !slices.Equal(got, []string{"37", "37"}) {
		t.Errorf("unit in the header: %q", got)
	}
	if got := table(t, st, "select reason from ledger.refused_rows"); !slices.Equal(got, []string{"unknown_unit"}) {
		t.Errorf("unit in the header that measures something else: %q", got)
	}
}

func TestAlarmLimits(t *testing.T) {
	const head = "device_id,started_at,condition,alarm_limit,observed,unit\n"
	const at = "V1,2026-03-01 10:00,"
	text := head + at + "pip_high,30,35.5,mbar\n" + at + "oxygen_low,0.4,0.3,fraction\n" + at + "apnea,20,25,s\n" + at + "apnea,20,,\n" + at + "pip_high,,,\n" + at + "pip_high,30,x,\n" + at + "pip_high,30,31,furlong\n" + at + "spo2_low,500,-4,\n"
	st := loaded(t, "alarms.csv", text, time.UTC)
	// A number keeps a unit of its own only where its condition watches no quantity.
	want := []string{"30.591486389|36.199925561|", "40|30|", "20|25|s", "20||", "||", "30||", "||", "500|-4|"}
	if got := table(t, st, "select alarm_limit, observed, unit from kept.alarms order by record_no"); !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
	cells := table(t, st, "select record_no, column_name, reason, cell from ledger.refused_cells order by all")
	if want := []string{"7|observed|unreadable|x", "8|alarm_limit|unknown_unit|30", "8|observed|unknown_unit|31"}; !slices.Equal(cells, want) {
		t.Errorf("refused cells %q, want %q", cells, want)
	}
}
