package records_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/records"
)

// codesOfContract lists every code of the contract's files: those of columns, alarm conditions and quantities.
func codesOfContract(t *testing.T) []string {
	all := quantityNames(t)
	for _, row := range readContract(t, "records.csv") {
		if !strings.HasPrefix(row[7], "see ") && row[7] != "" {
			all = append(all, strings.Split(row[7], "|")...)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// What letters stand for is common usage: ISO 19223 for ventilation, the rest as clinical journals write it.
func TestWordsOfEveryCode(t *testing.T) {
	letters := regexp.MustCompile(`(?i)\b(pip|peep|fio2|spo2|etco2|ph|pco2|po2|simv|cmv|cpap|nippv|hfov|hfjv)\b`)
	known := []string{"PIP", "PEEP", "FiO2", "SpO2", "EtCO2", "pH", "PCO2", "PO2", "SIMV", "CMV", "CPAP", "NIPPV", "HFOV", "HFJV"}
	said := map[string]string{}
	for _, code := range codesOfContract(t) {
		words := records.Words(code)
		if words == "" || strings.ContainsAny(words, "_|") || strings.TrimSpace(words) != words {
			t.Errorf("%s: %q is no name that people read", code, words)
		}
		for _, short := range letters.FindAllString(words, -1) {
			if !slices.Contains(known, short) {
				t.Errorf("%s: %q writes %s otherwise than clinicians do", code, words, short)
			}
		}
		for _, side := range []string{"high", "low"} {
			if strings.HasSuffix(code, "_"+side) && !strings.HasSuffix(words, " "+side) {
				t.Errorf("%s: %q does not say %s", code, words, side)
			}
		}
		if other, taken := said[words]; taken {
			t.Errorf("%s and %s are both %q", code, other, words)
		}
		said[words] = code
	}
	if len(said) < 100 {
		t.Errorf("%d codes were looked at: the contract has more", len(said))
	}
}

func TestWords(t *testing.T) {
	for code, want := range map[string]string{
		"spo2_low": "SpO2 low", "peep_high": "PEEP high", "pip_high": "PIP high", "etco2_high": "EtCO2 high", "fio2": "FiO2", "rate_low": "respiratory rate low",
		"heart_rate_low": "heart rate low", "expired_tidal_volume_low": "expired tidal volume low", "oxygen_high": "inspired oxygen high", "oxygen": "oxygen",
		"fixed_wing": "fixed wing", "nippv": "NIPPV", "departed_base_at": "departure from base", "receiving_ph": "receiving pH", "referring_pco2": "referring PCO2",
		"other": "other", "": "",
	} {
		if got := records.Words(code); got != want {
			t.Errorf("%q: got %q, want %q", code, got, want)
		}
	}
}

func TestInWords(t *testing.T) {
	for text, want := range map[string]string{
		"departed_base_at missing":                        "departure from base missing",
		"handed_over_at and arrived_receiving_at missing": "hand-over and arrival at receiving hospital missing",
		"pco2 not recorded":                               "PCO2 not recorded",
		"end before start":                                "end before start",
		"rate of oxygen unknown":                          "rate of oxygen unknown",
	} {
		if got := records.InWords(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
