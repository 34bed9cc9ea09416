package queries

import "strings"

const perTransport = "transport that it belongs to"

// transportViews tell of each transport: its times, groups, intervals, and what it counts for in each measure.
func transportViews() []view {
	return []view{
		{"transport_times", "One current transport a row: when it was under way, in which month and groups it counts.", "trips", []viewColumn{
			{"transport_id", "transport_id", "", "the transport"},
			{"month", "strftime(month, '%Y-%m')", "", "month in the team's zone; empty: no stamp says"},
			{"disposition", "disposition", "", "completed where it is not recorded"},
			{"went_out", "went_out", "", "completed, or cancelled after leaving the base"},
			{"planned", "planned", "", "urgency is planned"},
			{"vehicle", "vehicle", "", "not recorded where empty, as in every group"},
			{"team", "team", "", "the team that ran it"},
			{"urgency", "urgency", "", "immediate, urgent or planned"},
			{"referring_site", "referring_site", "", "hospital that asked"},
			{"device", "device", "", "its ventilator"},
			{"diagnosis", "diagnosis", "", "main reason for transport"},
			{"gestation_band", "gestation_band", "", "completed weeks: under 28, 28–31, 32–36, 37 and more"},
			{"age_band", "age_band", "", "neonatal (under 29 d), paediatric (under 18 years)"},
			{"window_from", "window_from", "", "start of the trip window, UTC"},
			{"window_to", "window_to", "", "end of the trip window, UTC"},
			{"under_way_from", "under_way_from", "", "with the patient from, UTC; empty: an end is missing or before the start"},
			{"under_way_to", "under_way_to", "", "handed over, UTC"},
			{"under_way_from_local", "local_time(under_way_from)", "", "the same as the team's clocks showed it"},
			{"under_way_to_local", "local_time(under_way_to)", "", "the same as the team's clocks showed it"},
			{"care_minutes", "care_minutes", "min", "length of under way"},
		}},
		{"intervals", "One interval of one completed transport a row.", named(intervals.text) + " as i join trips as t on t.transport_id = i.transport_id", []viewColumn{
			{"transport_id", "i.transport_id", "", perTransport},
			{"month", "strftime(t.month, '%Y-%m')", "", "month of the transport"},
			{"interval", "i.measure", "", "measure that the interval is of, such as mobilization_time"},
			{"minutes", "i.x", "min", "its length; empty where left_out says why"},
			{"left_out", "i.left_out", "", "why it cannot be judged"},
		}},
		{"measure_facts", "What one transport (or row, or device) counts for in one measure, a row each: what the measures add up. Without device_failures, which depends on the period asked.",
			named(allFacts()) + " as f left join trips as t on t.transport_id = f.transport_id", []viewColumn{
				{"measure", "f.measure", "", "id of the measure"},
				{"transport_id", "f.transport_id", "", perTransport},
				{"month", "strftime(coalesce(f.month, t.month), '%Y-%m')", "", "month in which it counts"},
				{"device", "f.device", "", "device, where it counts by its own"},
				{"x", "f.x", "", "what goes into the numerator, or the value, in the unit of the measure; empty: left out"},
				{"t", "f.t", "", "what goes into the denominator"},
				{"left_out", "f.left_out", "", "why it cannot be judged"},
			}},
		{"legs", "One leg of one completed transport a row.", "trip_legs", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"leg", "leg", "", "number of the leg"},
			{"place", "place", "", "where it was, in words"}, {"from_at", "from_at", "", "start, UTC"}, {"to_at", "to_at", "", "end, UTC, not included"},
		}},
		{"risk_index", "Transport risk index of one transport at one stage a row (TRIPS, Lee 2001).", "risk_scores", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"stage", "stage", "", "referring_arrival or receiving_arrival"},
			{"score", "score", "", "0 to 65; empty where a part is missing"}, {"missing", "missing", "", "which part"},
		}},
	}
}

// named puts a question between brackets, so that a view can stand on it.
func named(text string) string { return "(" + statement(text) + ")" }

// allFacts joins every question whose facts do not depend on a period.
func allFacts() string {
	var texts []string
	for _, q := range questions() {
		if !q.period {
			texts = append(texts, "select measure, transport_id, device::varchar as device, month::date as month, x, t, left_out from "+named(q.text))
		}
	}
	return strings.Join(texts, " union all ")
}

// supportViews tell of ventilation and alarms.
func supportViews() []view {
	return []view{
		{"support_episodes", "One episode of one class of support a row.", "episodes", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"episode", "episode", "", "1, 2, … in order"},
			{"class", "class", "", "low_flow, high_flow, cpap, nippv, invasive, high_frequency"},
			{"from_at", "from_at", "", "start, UTC"}, {"to_at", "to_at", "", "end, UTC"}, {"minutes", "minutes", "min", "its length"},
			{"invasive_tube", "invasive_tube", "", "invasive, by a tracheal tube"},
		}},
		{"support_conversions", "One change of class from one episode to the next a row.", "conversions", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"changed_at", "changed_at", "", "when, UTC"},
			{"from_class", "from_class", "", "class before"}, {"to_class", "to_class", "", "class after"},
			{"escalation", "escalation", "", "the class after is higher"},
		}},
		{"settings_in_force", "One stretch of one row of ventilator settings while under way a row.", "settings_timeline", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"class", "class", "", "class of support"},
			{"from_at", "from_at", "", "start, UTC"}, {"to_at", "to_at", "", "end, UTC"},
			{"interface", "interface", "", "how the patient is connected"}, {"continuous_flow", "continuous_flow", "", "flow runs through the breath cycle"},
			{"rate", "rate", "/min", "set breaths"}, {"inspiratory_time", "inspiratory_time", "s", "set inspiratory time"}, {"flow", "flow", "L/min", "set flow"},
			{"fio2", "fio2", "%", "inspired oxygen"}, {"nitric_oxide", "nitric_oxide", "[ppm]", "nitric oxide"},
		}},
		{"monitored_time", "Monitored time and alarming time of one completed transport and device a row.",
			"monitored as m left join alarming as a on a.transport_id = m.transport_id and a.device_id is not distinct from m.device_id", []viewColumn{
				{"transport_id", "m.transport_id", "", perTransport}, {"device_id", "m.device_id", "", "device as recorded; empty is one of its own"},
				{"first_at", "m.first_at", "", "first sign, UTC"}, {"last_at", "m.last_at", "", "last sign, UTC"},
				{"hours", "m.hours", "h", "monitored time"}, {"alarming_hours", "coalesce(a.hours, 0)", "h", "of it, with an alarm sounding"},
			}},
		{"alarm_onsets", "One alarm in monitored time a row.", "alarm_details", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"device_id", "device_id", "", "device as recorded"},
			{"started_at", "started_at", "", "onset, UTC"}, {"ended_at", "ended_at", "", "end, UTC; the onset where none is recorded"},
			{"condition", "condition", "", "what alarmed"}, {"priority", "priority", "", "high, medium or low"},
			{"is_repeat", "is_repeat", "", "sooner than repeat_within after the end of its like"},
			{"onsets_in_window", "nearby", "", "onsets of all devices in the flood window up to this one"},
			{"place", "place", "", "leg in which it began"}, {"silenced_after", "silenced_after", "s", "time to silence"}, {"lasted", "lasted", "s", "length"},
			{"alarm_limit", "alarm_limit", "", "limit crossed, in the unit of its quantity; volumes per kg of weight"},
			{"observed", "observed", "", "value that crossed it"}, {"beyond", "beyond", "", "how far"},
		}},
	}
}
