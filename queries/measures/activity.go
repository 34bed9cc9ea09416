package measures

import (
	"cmp"
	"slices"

	"tripwake/queries"
)

// Tally is what was done in one group: transports by what became of them.
type Tally struct {
	Name                                string // "ground", "urgent", a month, or "all"
	Completed, Cancelled, Declined, All int
}

// Activity is what was done in one month: in all, by vehicle, by urgency.
type Activity struct {
	All                 Tally
	Vehicles, Urgencies []Tally
}

// ActivityOf adds up the transports of a month.
func ActivityOf(counts []queries.ActivityCount, month string) Activity {
	var here []queries.ActivityCount
	for _, c := range counts {
		if c.Month == month {
			here = append(here, c)
		}
	}
	all := tallies(here, func(queries.ActivityCount) string { return "all" })
	a := Activity{All: Tally{Name: "all"}}
	if len(all) > 0 {
		a.All = all[0]
	}
	a.Vehicles = tallies(here, func(c queries.ActivityCount) string { return c.Vehicle })
	a.Urgencies = tallies(here, func(c queries.ActivityCount) string { return c.Urgency })
	return a
}

// ActivityByMonth adds up the transports of each of the months given, also of those without any.
func ActivityByMonth(counts []queries.ActivityCount, months []string) []Tally {
	found := map[string]Tally{}
	for _, t := range tallies(counts, func(c queries.ActivityCount) string { return c.Month }) {
		found[t.Name] = t
	}
	out := make([]Tally, len(months))
	for i, m := range months {
		out[i] = found[m]
		out[i].Name = m
	}
	return out
}

// usualOrder is the order of codes and bands, as records.csv and the definitions list them.
var usualOrder = []string{"ground", "rotor", "fixed_wing", "immediate", "urgent", "planned", "under 28", "28–31", "32–36", "37 and more",
	"neonatal", "paediatric"}

// byUsualOrder sorts names: those of usualOrder first, others by alphabet, what is not recorded last.
func byUsualOrder(a, b string) int {
	place := func(name string) int {
		at := slices.Index(usualOrder, name)
		switch {
		case name == queries.NotRecorded:
			return len(usualOrder) + 1
		case at < 0:
			return len(usualOrder)
		}
		return at
	}
	return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a, b))
}

// tallies adds up by name, in the usual order.
func tallies(counts []queries.ActivityCount, nameOf func(queries.ActivityCount) string) []Tally {
	sums := map[string]*Tally{}
	var names []string
	for _, c := range counts {
		name := nameOf(c)
		if sums[name] == nil {
			sums[name] = &Tally{Name: name}
			names = append(names, name)
		}
		sums[name].add(c)
	}
	slices.SortFunc(names, byUsualOrder)
	out := make([]Tally, len(names))
	for i, name := range names {
		out[i] = *sums[name]
	}
	return out
}

func (t *Tally) add(c queries.ActivityCount) {
	t.All += c.N
	switch c.Disposition {
	case "cancelled":
		t.Cancelled += c.N
	case "declined":
		t.Declined += c.N
	default: // an empty disposition counts as completed
		t.Completed += c.N
	}
}
