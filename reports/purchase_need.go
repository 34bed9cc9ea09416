package reports

import (
	"fmt"
	"math"

	"tripwake/queries/measures"
)

// needTables are the need of every pool, and what fleets of other sizes would have left without a device.
func needTables(p measures.Purchase) []table {
	t := table{Caption: "Requests and how many were wanted at once", Wide: true,
		Head: columns("Device", "Units now#", "Requests#", "Declined#", "Delayed#", "Mean hold, h#", "Load#", "Most at once#", "None free, as it was (95 %)#", "Always there (95 %)#", "Erlang B#")}
	for _, n := range p.Needs {
		units, as, always, model := "–", "–", "–", "–"
		if r, ok := n.Replay(n.Units); ok && n.Units > 0 {
			units, as, always, model = fmt.Sprint(n.Units), measures.LimitText(r.AsItWas, 0), measures.LimitText(r.Lost, 0), measures.ExpectedText(r.Erlang)
		}
		top := "–"
		if n.Requests > 0 {
			top = fmt.Sprint(n.Top())
		}
		t.add("", poolWords(n), units, fmt.Sprint(n.Requests), fmt.Sprint(n.TurnedAway), fmt.Sprint(n.Delayed), decimals(n.MeanHold, 1), decimals(n.Load, 2), top, as, always, model)
	}
	return []table{t}
}

func poolWords(n measures.FleetNeed) string {
	switch {
	case n.Kind == "team":
		return "all requests"
	case n.Team != "":
		return words(n.Kind) + ", " + n.Team
	}
	return words(n.Kind)
}

func reliabilityTable(p measures.Purchase) table {
	t := table{Caption: "Failures, downtime and availability of registered devices", Wide: true,
		Head: columns("Device", "Team", "Devices#", "Out of service, h#", "Failures#", "per 1000 h (95 %)#", "Time between, h (95 %)#", "To repair, h#", "Availability, %#", "In service, %#")}
	for _, r := range p.Reliability {
		class, name := "", r.Name
		if r.Name == r.Kind {
			class, name = "focus", words(r.Kind)+", all"
		}
		t.add(class, name, r.Team, fmt.Sprint(r.Devices), decimals(r.Out, 0), fmt.Sprint(r.Failures), limitOrDash(r.Rate, 3), betweenWords(r.Between),
			numberOrDash(r.Repair, 0), percentOrDash(r.Availability), percentOrDash(r.Recorded))
	}
	return t
}

func limitOrDash(l measures.Limit, n int) string {
	if math.IsNaN(l.Value) {
		return "–"
	}
	return measures.LimitText(l, n)
}

// betweenWords print a time between failures; without a failure only its lower limit is known.
func betweenWords(l measures.Limit) string {
	switch {
	case math.IsNaN(l.Value):
		return "–"
	case math.IsInf(l.Value, 1):
		return fmt.Sprintf("%.0f or more", l.Low)
	}
	return measures.LimitText(l, 0)
}

func numberOrDash(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	return decimals(v, n)
}

func percentOrDash(share float64) string {
	if math.IsNaN(share) {
		return "–"
	}
	return measures.ShareText(share)
}

func suppliesTable(p measures.Purchase) table {
	t := table{Caption: "Batteries overdrawn and gas below the reserve", Wide: true, Head: columns("Supply", "Transports#", "Fell short (95 %)#", "Share, % (95 %)#", "Left out")}
	for _, s := range p.Supplies {
		if s.Transports == 0 && len(s.LeftOut) == 0 {
			continue
		}
		short, share := "–", "–"
		if s.Transports > 0 {
			short, share = measures.LimitText(s.Was, 0), measures.LimitText(s.WasShare, 1)
		}
		t.add("", s.What, fmt.Sprint(s.Transports), short, share, orDash(measures.LeftOutWords(s.LeftOut)))
	}
	return t
}

func failuresTable(p measures.Purchase) table {
	t := table{Caption: "Reported under way", Head: columns("What failed", "Device", "Team", "Events#")}
	for _, f := range p.Failures {
		t.add("", words(f.Kind), f.Device, f.Team, fmt.Sprint(f.N))
	}
	return t
}
