package queries

import (
	"tripwake/pipeline/records"
)

func alarmColumns() []ResearchColumn {
	count := func(name, meaning, expr string) ResearchColumn {
		return derived(name, CountColumn, "1", meaning, "definitions: alarms", "if(f.monitored_hours is null, null, coalesce("+expr+", 0))")
	}
	named := func(c ResearchColumn, name, side string) ResearchColumn {
		c.Name, c.side = name, side
		return c
	}
	return []ResearchColumn{
		named(ofMeasure("alarms_per_hour", NumberColumn, "h", "Monitored time, summed over devices; empty where there is none.", Plain), "monitored_hours", "t"),
		named(ofMeasure("alarms_per_hour", CountColumn, "1", "Alarm onsets.", Plain), "alarms", "x"),
		named(ofMeasure("high_priority_alarms_per_hour", CountColumn, "1", "Onsets of high priority.", Plain), "high_priority_alarms", "x"),
		count("medium_priority_alarms", "Onsets of medium priority.", "a.medium"),
		count("low_priority_alarms", "Onsets of low priority.", "a.low"),
		count("unrated_alarms", "Onsets whose priority is not recorded.", "a.unrated"),
		named(ofMeasure("repeat_alarms", CountColumn, "1", "Onsets that were repeats; empty where there was no onset.", Plain), "repeat_alarms", "x"),
		named(ofMeasure("alarming_time", NumberColumn, "h", "Time with an alarm sounding, summed over devices.", Plain), "alarming_hours", "x"),
		count("alarm_crowd", "Most onsets within the window of a flood.", "a.crowd"),
		flagOf("alarm_flood", "At least one alarm flood.", Plain),
	}
}

// gasColumns are plan, use and hindsight of oxygen and air, and what was left at hand-over.
func gasColumns() []ResearchColumn {
	all := []ResearchColumn{recorded("transports", "planned_duration", Plain)}
	for _, g := range []struct{ name, bridge, left string }{{"oxygen", "ox", "lo"}, {"air", "ai", "la"}} {
		litres := func(name, meaning, expr string) ResearchColumn {
			return derived(g.name+"_"+name, NumberColumn, "L", meaning, "definitions: gas", expr)
		}
		all = append(all,
			recorded("transports", "planned_"+g.name, Plain),
			litres("used", "Start less end contents of carried and vehicle cylinders, free gas.", g.bridge+".used"),
			litres("gauge_error", "Error of that, from the gauges' divisions.", g.bridge+".gauge_error"),
			litres("hindsight", "What the settings in force would have used.", g.bridge+".hindsight"),
			litres("duration_effect", "Used beyond plan since the time on carried gas differed from plan.", g.bridge+".duration_effect"),
			litres("settings_effect", "Used beyond plan since the settings differed from plan.", g.bridge+".settings_effect"),
			litres("unexplained", "Used less hindsight: leaks, gauges, model.", g.bridge+".unexplained"),
			derived(g.name+"_minutes", NumberColumn, "min", "Time on carried gas.", "definitions: gas time", g.bridge+".minutes"),
			derived(g.name+"_ratio", NumberColumn, "1", "Used over planned.", "measure "+g.name+"_ratio", "f."+g.name+"_ratio_used / f."+g.name+"_ratio_planned"),
			litres("left", "Usable gas left in the carried cylinders at their end reading.", "if("+g.left+".left_out is null, "+g.left+".carried_left, null)"),
			derived(g.name+"_minutes_left", NumberColumn, "min", "How long that would have lasted at the last demand; empty where nothing was asked for.", "definitions: minutes left", g.left+".minutes_left"),
		)
		all = append(all, ratioParts(g.name)...)
	}
	return append(all,
		ofMeasure("oxygen_per_hour", NumberColumn, "L/h", "Oxygen used per hour on carried gas.", Plain),
		flagOf("oxygen_over_plan", "Used more oxygen than planned, beyond the gauge error.", Plain),
		flagOf("oxygen_reserve_short", "Arrived with less than the oxygen reserve.", Plain),
	)
}

// ratioParts are the two sums of a ratio, of the transports that its measure judges.
func ratioParts(gas string) []ResearchColumn {
	used := ofMeasure(gas+"_ratio", NumberColumn, "L", "Used, where the ratio can be judged.", Plain)
	planned := used
	used.Name, planned.Name, planned.side = gas+"_ratio_used", gas+"_ratio_planned", "t"
	planned.Meaning = "Planned, where the ratio can be judged."
	return []ResearchColumn{used, planned}
}

func powerColumns() []ResearchColumn {
	placed := func(expr string) string { return "if(b.left_out is null, " + expr + ", null)" }
	return []ResearchColumn{
		ofMeasure("battery_time", NumberColumn, "min", "Minutes of the ventilator on battery under way.", Plain),
		derived("battery_dimmed", NumberColumn, "min", "Of these, with the display dimmed.", "definitions: power", placed("b.dim")),
		derived("battery_share", NumberColumn, "1", "Part of the rated endurance that was used; empty without a rating.", "definitions: power", placed("b.share")),
		flagOf("battery_overdrawn", "More than the allowed part of the rated endurance was used.", Plain),
		flagOf("leak_check_passed", "The ventilator had passed a leak check before the patient leg.", Plain),
	}
}

// eventColumns count adverse events over the transport, by kind and by harm, and as the measures count them.
func eventColumns() []ResearchColumn {
	all := []ResearchColumn{
		ofMeasure("adverse_events", CountColumn, "1", "Adverse events of a completed transport.", Sensitive),
		ofMeasure("preventable_events", CountColumn, "1", "Events judged preventable.", Sensitive),
		ofMeasure("harmful_events", CountColumn, "1", "Events with harm mild or worse.", Sensitive),
		ofMeasure("serious_events", CountColumn, "1", "Events with severe harm or death.", Sensitive),
		ofMeasure("unplanned_extubation", CountColumn, "1", "Unplanned extubations; only where an invasive episode had a tube.", Sensitive),
		ofMeasure("device_dislodgement", CountColumn, "1", "Dislodged tubes and lines.", Sensitive),
	}
	events, _ := records.Find("events")
	kind, _ := events.Column("kind")
	for _, k := range kind.Codes {
		all = append(all, derived("event_"+k, CountColumn, "1", "Events of kind "+k+", on transports of any disposition.", "events.kind", "coalesce(e.kinds['"+k+"'], 0)"))
	}
	harm, _ := events.Column("harm")
	for _, h := range notRecorded(harm.Codes) {
		all = append(all, derived("harm_"+snake(h), CountColumn, "1", "Events with harm "+h+".", "events.harm", "coalesce(e.harms['"+h+"'], 0)"))
	}
	worst := derived("worst_harm", CodeColumn, "", "The worst harm of its events; empty where none is recorded.", "events.harm", "e.worst_harm")
	worst.Codes = harm.Codes
	return private(Sensitive, append(all, worst)...)
}

func snake(text string) string {
	made := []byte(text)
	for i, b := range made {
		if b == ' ' {
			made[i] = '_'
		}
	}
	return string(made)
}

func outcomeColumns() []ResearchColumn {
	return []ResearchColumn{
		flagOf("tube_confirmed", "Tube position confirmed; only where an invasive episode had a tube.", Plain),
		counted(recorded("transports", "intubation_attempts", Plain)),
		flagOf("first_attempt_intubation", "Placed at the first attempt; only where the team tried.", Plain),
		flagOf("structured_handover", "A standard hand-over form or script was used.", Plain),
		flagOf("died_in_transit", "Died under way.", Sensitive),
		flagOf("died_within_7_days", "Died within seven days.", Sensitive),
		flagOf("declined", "The request was declined.", Plain),
		flagOf("declined_no_equipment", "Declined for want of equipment.", Plain),
		flagOf("delayed_no_equipment", "Delayed for want of equipment; completed transports.", Plain),
	}
}
