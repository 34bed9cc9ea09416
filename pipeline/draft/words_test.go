package draft

import (
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/records"
)

// A word that stood in two lines would mean whatever line comes last.
func TestWordsStandOnce(t *testing.T) {
	seen := map[string]string{}
	for _, line := range vocabulary {
		words := strings.Fields(line)
		for i, word := range words {
			if i > 0 && (len(wordsOf(word)) != 1 || wordsOf(word)[0] != word) {
				t.Errorf("%q can be no word of a header", word)
			}
			if first, twice := seen[word]; twice {
				t.Errorf("%q stands in the lines of %s and %s", word, first, words[0])
			}
			seen[word] = words[0]
			if slices.Contains(words[:i], word) {
				t.Errorf("%q stands twice in the line of %s", word, words[0])
			}
		}
	}
}

// Every column and quantity that the tables of synonyms and codes speak of is one of the contract, and all columns have names.
func TestSynonymsAreOfColumns(t *testing.T) {
	for _, table := range records.Tables() {
		for _, c := range table.Columns {
			if len(synonyms[table.Name][c.Name]) == 0 && c.Name != "oxygen" {
				t.Errorf("%s.%s has no synonym", table.Name, c.Name)
			}
		}
		for name := range synonyms[table.Name] {
			if _, ok := table.Column(name); !ok {
				t.Errorf("%s.%s is no column", table.Name, name)
			}
		}
	}
	for name, words := range codeWords {
		tableName, columnName, _ := strings.Cut(name, ".")
		table, _ := records.Find(tableName)
		column, ok := table.Column(columnName)
		if !ok {
			t.Errorf("%s is no column", name)
		}
		for code := range words {
			if !slices.Contains(column.Codes, code) {
				t.Errorf("%s is no code of %s", code, name)
			}
		}
	}
}

func TestMeaning(t *testing.T) {
	for name, want := range map[string]string{
		"Run #": "trip number", "DateTime": "date time", "SpO2": "spo2", "Arr. Ref": "arrive referring", "Sp O2": "sp oxygen",
		"Geburtsgewicht": "bw", "Patientenübergabe": "patient handover", "Abfahrtszeit": "depart time", "N° dossier": "number trip",
		"VTe": "vte", "pt_contact_ts": "patient contact time",
	} {
		if got := strings.Join(meaning(name), " "); got != want {
			t.Errorf("%q means %q, expected %q", name, got, want)
		}
	}
}

func TestNameAndUnit(t *testing.T) {
	for header, want := range map[string][2]string{
		"BW (lb)": {"BW", "lb"}, "PIP cmH2O": {"PIP", "cmH2O"}, "co2_et_kpa": {"co2_et", "kpa"}, "Tskin (°F)": {"Tskin", "°F"},
		"Flow lpm": {"Flow", "lpm"}, "Age days": {"Age", "days"}, "Leak (P/F)": {"Leak (P/F)", ""}, "SoC %": {"SoC", "%"},
		"Time of day": {"Time of day", ""}, "psi": {"psi", ""},
	} {
		if name, unit := parted(header); name != want[0] || unit != want[1] {
			t.Errorf("%q is %q in %q, expected %v", header, name, unit, want)
		}
	}
}

// Moments as programs write them; where two orders of day and month read all, both are given.
func TestTimeForms(t *testing.T) {
	for texts, want := range map[string]string{
		"2025-05-02 23:35|2025-05-03T01:00:00Z":    "iso",
		"2025-05-02T14:03:00-05:00":                "iso",
		"05/02/2025 01:37 AM|05/13/2025 11:00 PM":  "%m/%d/%Y %I:%M %p",
		"02/05/2025 13:37|13/05/2025 11:00":        "%d/%m/%Y %H:%M",
		"02/05/2025 13:37|03/05/2025 11:00":        "%d/%m/%Y %H:%M %m/%d/%Y %H:%M",
		"02.05.2025 13:37:01|3.5.2025 1:00:09":     "%d.%m.%Y %H:%M:%S",
		"03-Jun-2025 05:41:00":                     "%d-%b-%Y %H:%M:%S",
		"Jul 14, 2025 04:20 PM":                    "%b %d, %Y %I:%M %p",
		"20250519 074103":                          "%Y%m%d %H%M%S",
		"02/05/2025 13h06|31/05/2025 00h10":        "%d/%m/%Y %Hh%M",
		"45779.565278|45780.1":                     "excel",
		"1747637940|1747638000":                    "epoch",
		"1747637940000|1747638000000":              "epoch_ms",
		"2025-13-40 10:00|yesterday|x|2025-02-30x": "",
		"4779775|6081574":                          "",
	} {
		var got []string
		for _, f := range fitting(strings.Split(texts, "|")) {
			got = append(got, f.format)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %v, expected %s", texts, got, want)
		}
	}
}

// Alarms and signals by the words of their texts.
func TestAlarmAndSignalWords(t *testing.T) {
	for text, want := range map[string]string{"HIGH PIP": "pip_high", "SpO2 low": "spo2_low", "VTE_LO": "expired_tidal_volume_low", "Apnoea": "apnea",
		"Low battery": "battery_low", "Circuit disconnect": "disconnection", "MV high limit": "minute_volume_high", "FiO2 low": "oxygen_low", "Door open": ""} {
		if got := conditionOf(text); got != want {
			t.Errorf("%q is %q, expected %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"Ppeak": "pip", "VTe": "expired_tidal_volume", "RR total": "rate", "O2": "fio2", "EtCO2": "etco2", "Compliance": ""} {
		if got := quantityOf(text); got != want {
			t.Errorf("%q is %q, expected %q", text, got, want)
		}
	}
}

// A part of a text, or the beginning of a word, stands for a code only if it stands for no other.
func TestCodesByParts(t *testing.T) {
	events, _ := records.Find("events")
	kind, _ := events.Column("kind")
	harm, _ := events.Column("harm")
	for text, want := range map[string]string{"Airway - unplanned extubation": "unplanned_extubation", "Medic": "medication_error", "Crash": "vehicle_incident", "Something": ""} {
		if got := codeOf("events", kind, text); got != want {
			t.Errorf("%q is %q, expected %q", text, got, want)
		}
	}
	if got := codeOf("events", harm, "B - mild"); got != "mild" || wholly("events", harm, "B - mild") {
		t.Errorf("B - mild is %q", got)
	}
}
