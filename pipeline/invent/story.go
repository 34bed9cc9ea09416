package invent

// Chapter is one thing that the invented records tell. Months count from 1, the first month of the records; Measure is the
// id of the measure that shows it, Where the site, device or base it concerns (empty: all).
type Chapter struct {
	Title      string
	What       string
	Where      string
	FirstMonth int
	LastMonth  int
	Measure    string
}

// Story returns the chapters in the order of their first months. They need 18 months to be told to the end.
func Story() []Chapter {
	return []Chapter{
		{"The single kit",
			"One base has one kit: a call that comes while it is out waits for a kit of another base, which is often late.",
			bases[poorBase].name, 1, 18, "delayed_no_equipment"},
		{"The slow site",
			"Stabilization takes about a third longer at one referring hospital than at the others, and from month 10 grows by a twentieth a month.",
			slowSite, slowingFrom, 18, "stabilization_time"},
		{"The leaking regulator",
			"One ventilator's oxygen use lies far above the plan and above what its settings draw, until the device goes to service in month 12.",
			"V3", leakFrom, leakTo, "oxygen_ratio"},
		{"Warmer babies",
			"From month 8 newborns travel on warming mattresses: the share that arrives below 36.5 Cel falls from about a third to about a tenth.",
			"", warmFrom, 18, "hypothermia_on_arrival"},
		{"A quieter ventilator",
			"The default low limit of the expired tidal volume is lowered at the start of month 10: alarms per hour fall.",
			"", limitFrom, 18, "alarms_per_hour"},
		{"The tired battery",
			"From month 10 the last base's vehicle gives its ventilator no power at all: the battery carries every leg, its charge falls faster every month, and power failures are reported.",
			"V5", fadingFrom, 18, "battery_overdrawn"},
		{"A winter without ventilators",
			"In month 12 both ventilators of one base are out of service: requests are declined or wait for a borrowed device.",
			bases[closedBase].name, shortageMonth, shortageMonth, "declined_no_equipment"},
		{"The extubations",
			"In months 13 and 14 several tubes come out unplanned, after a year with hardly any; the taping is changed and it stops.",
			"", extubationsFrom, extubationsTo, "unplanned_extubation"},
		{"The anxious limit",
			"In the last month the monitors come back from their yearly service with the default low limit of the saturation at 92 instead of 88 %, and nobody notes it: alarms per hour more than double.",
			"", anxiousFrom, 18, "alarms_per_hour"},
	}
}

// The months of the story, from 1.
const (
	leakFrom, leakTo               = 6, 12
	warmFrom                       = 8
	slowingFrom                    = 10
	limitFrom                      = 10
	fadingFrom                     = 10
	shortageMonth                  = 12
	extubationsFrom, extubationsTo = 13, 14
	anxiousFrom                    = 18
)

// slowing is the factor on the slow site's stabilization beyond its pace.
func slowing(site string, month int) float64 {
	if site != slowSite || month < slowingFrom {
		return 1
	}
	return 1 + 0.05*float64(min(month, 18)-slowingFrom+1)
}

// leaks holds for the transports on the worn regulator.
func leaks(t *trip) bool {
	return t.kitNumber == leakyKit && t.month >= leakFrom && t.month <= leakTo && !repaired(t)
}

// repaired: in the last month of the leak the device comes back mended.
func repaired(t *trip) bool { return t.month == leakTo && t.at.called.Day() > 15 }

// warmth is the mean and spread of newborns' temperatures under way (Cel).
func warmth(month int) (mean, sd float64) {
	if month < warmFrom {
		return 36.68, 0.5
	}
	return 36.95, 0.34
}

// tidalVolumeLimit is the default low alarm limit in mL/kg.
func tidalVolumeLimit(month int) float64 {
	if month < limitFrom {
		return 4.5
	}
	return 3.2
}

// saturationLimit is the default low alarm limit of the saturation in %, until it is raised to anxiousLimit.
const saturationLimit, anxiousLimit = 88, 92

// lowSaturationLimit is the one in force; that of a cyanotic patient is set by hand.
func lowSaturationLimit(t *trip) float64 {
	if t.month < anxiousFrom || cyanotic(t.who) {
		return saturationLimit
	}
	return anxiousLimit
}

// fading is the part of its rated endurance that the tired battery still gives.
func fading(month int) float64 {
	if month < fadingFrom {
		return 0.95
	}
	return 0.90 - 0.045*float64(min(month, 18)-fadingFrom)
}

// extubationChance is per transport with a tube.
func extubationChance(month int) float64 {
	if month >= extubationsFrom && month <= extubationsTo {
		return 0.22
	}
	return 0.008
}

// note is one row of the notes; day counts from 1 within the month, closed in days after (0: open).
type note struct {
	month, day          int
	measure, kind, text string
	owner               string
	closed              int
}

// notes: what the team changed or agreed. Owners are roles.
var notes = []note{
	{3, 17, "structured_handover", "change", "Hand-over script printed on the back of the run sheet.", "Nursing lead", 0},
	{5, 12, "", "action", "Ask dispatch for the stamp at the patient's side on every run.", "Operations lead", 40},
	{8, 1, "hypothermia_on_arrival", "change", "Warming mattress and hat for every newborn; temperature taken before leaving.", "Nursing lead", 0},
	{10, 1, "alarms_per_hour", "change", "Default of the alarm limit for low expired tidal volume lowered from 4.5 to 3.2 mL/kg on all ventilators.", "Respiratory lead", 0},
	{11, 10, "oxygen_ratio", "action", "Find out why V3 needs so much more oxygen than planned.", "Biomedical lead", 23},
	{12, 27, "oxygen_ratio", "change", "V3 back in service with a new regulator.", "Biomedical lead", 0},
	{12, 29, "declined_no_equipment", "action", "Agree on a loan ventilator for times when two are out.", "Operations lead", 75},
	{14, 20, "unplanned_extubation", "change", "Two people at every move of a patient with a tube; new tape.", "Respiratory lead", 0},
	{15, 8, "stabilization_time", "action", "Visit Pellastre District and go through three cases together.", "Medical lead", 0},
	{16, 21, "battery_overdrawn", "action", "Quote for a new battery of V5 and a supply in the vehicle.", "Biomedical lead", 0},
}
