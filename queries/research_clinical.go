package queries

import "fmt"

// arrivalColumns are what was found at the first and the last stage, and what the measures make of it.
func arrivalColumns() []ResearchColumn {
	var all []ResearchColumn
	for _, stage := range []struct{ prefix, alias, words string }{
		{"referring", "ra", "when the team arrived"}, {"receiving", "va", "on arrival at the receiving hospital"},
	} {
		for _, name := range []string{"temperature", "respiratory_rate", "heart_rate", "spo2", "fio2", "systolic_pressure",
			"mean_airway_pressure", "ph", "pco2", "po2", "glucose"} {
			c := recorded("assessments", name, Sensitive)
			c.Name, c.expr = stage.prefix+"_"+name, stage.alias+"."+name
			c.Meaning = fmt.Sprintf("%s %s.", words(name), stage.words)
			all = append(all, c)
		}
		all = append(all, indexColumns(stage.prefix, stage.alias, stage.words)...)
	}
	return append(all,
		flagOf("hypothermia_on_arrival", "Unintended hypothermia on arrival.", Sensitive),
		flagOf("hyperthermia_on_arrival", "Hyperthermia on arrival.", Sensitive),
		flagOf("hypocarbia_on_arrival", "Over-ventilated on arrival.", Sensitive),
		flagOf("hypercarbia_on_arrival", "Under-ventilated on arrival.", Sensitive),
		flagOf("glucose_low_on_arrival", "Low glucose on arrival.", Sensitive),
	)
}

// indexColumns are the two indices of the definitions; inspired oxygen is in percent, so that the factor 100 is in it.
func indexColumns(prefix, alias, stage string) []ResearchColumn {
	index := func(name, over, meaning, unit string) ResearchColumn {
		return derived(prefix+"_"+name, NumberColumn, unit, meaning+" "+stage+".", "definitions: risk",
			fmt.Sprintf("%[1]s.mean_airway_pressure * %[1]s.fio2 / nullif(%[1]s.%[2]s, 0)", alias, over))
	}
	return private(Sensitive,
		index("oxygenation_index", "po2", "Mean airway pressure times inspired oxygen over arterial oxygen pressure", "cm[H2O]/mm[Hg]"),
		index("saturation_index", "spo2", "The same over oxygen saturation", "cm[H2O]/%"))
}

func words(name string) string {
	known := map[string]string{"temperature": "Temperature", "respiratory_rate": "Breaths", "heart_rate": "Heart rate",
		"spo2": "Oxygen saturation", "fio2": "Inspired oxygen", "systolic_pressure": "Systolic blood pressure",
		"mean_airway_pressure": "Mean airway pressure", "ph": "pH", "pco2": "Carbon dioxide pressure", "po2": "Oxygen pressure",
		"glucose": "Blood glucose"}
	return known[name]
}

// riskColumns are TRIPS (Lee 2001) and its parts at both ends, and what changed under way.
func riskColumns() []ResearchColumn {
	var all []ResearchColumn
	for _, stage := range []struct{ prefix, alias, words string }{
		{"referring", "rr", "when the team arrived"}, {"receiving", "rv", "on arrival at the receiving hospital"},
	} {
		all = append(all, derived(stage.prefix+"_trips", CountColumn, "{score}", "Transport risk index, 0 to 65, "+stage.words+"; empty if a part is missing.", "definitions: TRIPS", stage.alias+".score"))
		for _, part := range []string{"temperature", "respiratory", "systolic", "response"} {
			all = append(all, derived(stage.prefix+"_trips_"+part, CountColumn, "{score}", "Its points for "+part+".", "definitions: TRIPS", stage.alias+"."+part+"_points"))
		}
	}
	all = append(all, derived("trips_change", CountColumn, "{score}", "Receiving less referring risk index.", "definitions: TRIPS", "rv.score - rr.score"))
	return private(Sensitive, all...)
}

// supportClasses are the classes that an episode can have, in their order.
var supportClasses = []string{"low_flow", "high_flow", "cpap", "nippv", "invasive", "high_frequency"}

func supportColumns() []ResearchColumn {
	class := func(name, meaning, expr string) ResearchColumn {
		c := derived(name, CodeColumn, "", meaning, "definitions: support", expr)
		c.Codes = supportClasses
		return c
	}
	hours := func(name, meaning, expr string) ResearchColumn {
		return derived(name, NumberColumn, "h", meaning, "definitions: support", expr)
	}
	escalation := derived("time_to_escalation", NumberColumn, "min", "From the beginning of support to the first later invasive episode; empty where there is none.", "definitions: support",
		"if(c.escalated_at is null, null, minutes_between(c.begun_at, c.escalated_at))")
	return []ResearchColumn{
		class("first_support", "First class of support under way.", "s.first_class"),
		class("last_support", "Last class of support under way.", "s.last_class"),
		class("highest_support", "Highest class of support under way.", "c.highest_class"),
		derived("episodes", CountColumn, "1", "Episodes of support; empty where no settings place one under way.", "definitions: support", "c.episodes"),
		ofMeasure("conversions", CountColumn, "1", "Changes of class from one episode to the next.", Plain),
		flagOf("escalations", "From non-invasive support to invasive; only where the first class is non-invasive.", Plain),
		escalation,
		hours("supported_hours", "Time in episodes of support.", "c.supported_hours"),
		hours("non_invasive_hours", "Time on CPAP or non-invasive ventilation.", "c.non_invasive_hours"),
		hours("invasive_hours", "Time in invasive and high-frequency episodes.", "c.invasive_hours"),
		hours("high_frequency_hours", "Time in high-frequency episodes.", "c.high_frequency_hours"),
		hours("tube_hours", "Time in invasive episodes with interface tube.", "s.tube_hours"),
		recorded("transports", "intubated_after_handover", Sensitive),
		recorded("transports", "intubated_after_for", Sensitive),
	}
}
