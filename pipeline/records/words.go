package records

import "strings"

// Words is a code, quantity or column of the records as people read it: "SpO2 low" for spo2_low, "fixed wing" for fixed_wing.
// Names and texts that a team gave (devices, sites) are no codes and must not be put through it.
func Words(code string) string {
	if words, ok := written[code]; ok {
		return words
	}
	parts := strings.Split(code, "_")
	for i, part := range parts {
		if short, ok := abbreviations[part]; ok {
			parts[i] = short
		}
	}
	return strings.Join(parts, " ")
}

// InWords puts the names of the records that stand in a sentence of ours into words: "departed_base_at missing" becomes
// "departure from base missing". A word that is no more than an English word stays.
func InWords(sentence string) string {
	tokens := strings.Split(sentence, " ")
	for i, token := range tokens {
		if _, short := abbreviations[token]; short || strings.Contains(token, "_") {
			tokens[i] = Words(token)
		}
	}
	return strings.Join(tokens, " ")
}

// abbreviations are parts of codes that are letters of longer terms, as clinicians write them.
var abbreviations = map[string]string{
	"pip": "PIP", "peep": "PEEP", "fio2": "FiO2", "spo2": "SpO2", "etco2": "EtCO2", "ph": "pH", "pco2": "PCO2", "po2": "PO2",
	"simv": "SIMV", "cmv": "CMV", "cpap": "CPAP", "nippv": "NIPPV", "hfov": "HFOV", "hfjv": "HFJV", "trips": "TRIPS", "co2": "CO2",
}

// written are codes whose parts alone do not say what is meant: moments of a trip, and what a ventilator calls rate and oxygen.
var written = map[string]string{
	"called_at": "call", "accepted_at": "acceptance", "departed_base_at": "departure from base",
	"arrived_referring_at": "arrival at referring hospital", "at_patient_at": "first contact with patient",
	"departed_referring_at": "departure from referring hospital", "arrived_receiving_at": "arrival at receiving hospital",
	"handed_over_at": "hand-over", "available_at": "ready again",
	"rate": "respiratory rate", "rate_high": "respiratory rate high", "rate_low": "respiratory rate low",
	"oxygen_high": "inspired oxygen high", "oxygen_low": "inspired oxygen low",
	"assist_control": "assist-control", "high_frequency": "high-frequency",
}
