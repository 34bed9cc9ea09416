package invent

import "time"

// event is one adverse event under way.
type event struct {
	at                       time.Time
	kind, harm, device, text string
	preventable, judged      bool
}

// eventChances are chances per transport, invented to the size of published series.
var eventChances = []share[string]{{"desaturation", 0.022}, {"line_dislodgement", 0.010}, {"medication_error", 0.012},
	{"equipment_failure", 0.013}, {"hypotension", 0.015}, {"bradycardia", 0.010}, {"tube_obstruction", 0.004}, {"air_leak", 0.003},
	{"cardiac_arrest", 0.003}, {"patient_injury", 0.003}, {"crew_injury", 0.002}, {"vehicle_incident", 0.004},
	{"gas_supply_failure", 0.002}, {"other", 0.005}}

var harms = []share[string]{{"none", 0.50}, {"mild", 0.27}, {"moderate", 0.15}, {"severe", 0.05}, {"", 0.03}}

// narratives hold what free text holds: quotes, separators, line breaks, a formula, markup, other scripts. No person is named.
var narratives = []string{
	"Noticed while loading; put right at once.",
	"Tube tape was damp, re-taped before the leg; \"all good\" said the relief crew.",
	"Line pulled at the door, new access; delay about 10 min.",
	"=HYPERLINK(\"http://example.invalid\";\"click\")",
	"<script>alert('x')</script> pasted from the web form",
	"First line of the note\nsecond line, with a comma; and a semicolon\tand a tab",
	"Größe des Tubus geprüft – 3½ ✓",
	"@crew: see check sheet, -5 cm at the lip",
	"'; drop table events; --",
	"",
}

// adverseEvents draws the events of a transport that went out with a patient.
func adverseEvents(d dice, t *trip) []event {
	var out []event
	for _, c := range eventChances {
		if d.chance(c.weight) {
			out = append(out, newEvent(d, t, c.what))
		}
	}
	if tubed(t) && d.chance(extubationChance(t.month)) {
		out = append(out, newEvent(d, t, "unplanned_extubation"))
	}
	if t.kitNumber == tiredKit && t.month >= fadingFrom && len(t.course) > 0 && d.chance(0.04) {
		out = append(out, newEvent(d, t, "power_failure"))
	}
	return out
}

// tubed holds where the log shows a tube before the patient leg is over.
func tubed(t *trip) bool {
	for _, s := range t.course {
		if s.iface == "tube" {
			return true
		}
	}
	return false
}

func newEvent(d dice, t *trip, kind string) event {
	span := t.at.handed.Sub(t.at.patient)
	e := event{kind: kind, harm: pick(d, harms), text: one(d, narratives)}
	e.at = t.at.patient.Add(time.Duration(d.between(0.1, 0.95) * float64(span))).Truncate(time.Minute)
	if kind == "cardiac_arrest" {
		e.harm = pick(d, []share[string]{{"severe", 0.8}, {"death", 0.2}})
	}
	e.judged = d.chance(0.85)
	e.preventable = d.chance(0.55)
	switch kind {
	case "equipment_failure", "gas_supply_failure", "power_failure", "unplanned_extubation", "tube_obstruction":
		e.device = t.kit.ventilator.id
	}
	return e
}
