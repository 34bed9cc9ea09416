package measures

import (
	"fmt"
	"math"
	"strings"

	"tripwake/queries"
)

// Noun is what one of a kind of candidate is called: "nitric oxide delivery device".
func (c Candidate) Noun() string {
	switch c.Kind {
	case "nitric_oxide_delivery":
		return queries.Words(c.Kind) + " device"
	case KindBattery:
		return "battery"
	case KindCylinders:
		return "cylinder set"
	}
	return c.Kind
}

// scope names the transports that a candidate is for: "V5", a team, both, or "all".
func (c Candidate) scope() string {
	parts := append([]string{}, strings.Join(c.Devices, ", "), c.Team)
	text := strings.Trim(strings.Join(parts, ", "), ", ")
	if text == "" {
		return "all"
	}
	return text
}

// ScopeWords follow a noun: " for V5", or nothing where it is for all.
func (c Candidate) ScopeWords() string {
	if scope := c.scope(); scope != "all" {
		return " for " + scope
	}
	return ""
}

// Bought is "one more ventilator for Umberlock", "2 more monitors".
func (c Candidate) Bought() string {
	switch {
	case !c.IsDevice():
		if strings.Contains(c.Name, c.scope()) {
			return "“" + c.Name + "”"
		}
		return "“" + c.Name + "”" + c.ScopeWords()
	case c.Add == 1:
		return "one more " + c.Noun() + c.ScopeWords()
	}
	return fmt.Sprintf("%d more %ss%s", c.Add, c.Noun(), c.ScopeWords())
}

// LimitText prints a count with its interval: "38 (27 to 50)"; decimals for those that are no counts. Nothing, with an interval of
// no width, is a plain 0.
func LimitText(l Limit, decimals int) string {
	if l == (Limit{}) {
		return "0"
	}
	return fixed(l.Value, decimals) + " (" + IntervalWords(l, decimals) + ")"
}

// IntervalWords is "27 to 50".
func IntervalWords(l Limit, decimals int) string {
	if math.IsInf(l.High, 1) {
		return "from " + fixed(l.Low, decimals)
	}
	return fixed(l.Low, decimals) + " to " + fixed(l.High, decimals)
}

// ExpectedText prints an expected number to one digit; what would round to nothing is "under 0.1".
func ExpectedText(v float64) string {
	if v > 0 && v < 0.05 {
		return "under 0.1"
	}
	return fixed(v, 1)
}

// ShareText is a share (1 is all) in % to two digits, without the sign.
func ShareText(share float64) string { return fixed(100*share, 2) }

// Money is an amount with its currency, where one is set.
func (p Purchase) Money(v float64) string { return money(v, p.Currency) }

func money(v float64, currency string) string {
	return strings.TrimSpace(Amount(v) + " " + currency)
}

// MoneyRange is an amount with its interval; an interval without end says so.
func (p Purchase) MoneyRange(l Limit) string {
	switch {
	case math.IsNaN(l.Value):
		return "none"
	case math.IsInf(l.High, 1):
		return fmt.Sprintf("%s (%s or more, without an upper limit)", p.Money(l.Value), Amount(l.Low))
	}
	return fmt.Sprintf("%s (%s to %s)", p.Money(l.Value), Amount(l.Low), Amount(l.High))
}

// shortfall says what a candidate is held against: what a transport suffered, in the plural.
func (p *purchasing) shortfall(a Answer) string {
	switch {
	case a.Fleet != nil:
		return "requests that found none free"
	case a.Candidate.Kind == KindBattery:
		return fmt.Sprintf("transports that drew more than %.0f %% of the rated battery", 100*p.from.Settings().BatteryShare)
	}
	return fmt.Sprintf("transports that arrived with less than %.0f min of %s", p.from.Settings().OxygenReserve, queries.Words(a.Candidate.Gas))
}

// verdict is one sentence, or two, that say what the candidate would have changed.
func (p *purchasing) verdict(a Answer) string {
	bought, span := a.Candidate.Bought(), p.span.Words()
	switch {
	case !a.Replayed():
		return fmt.Sprintf("%s: nothing in %s can be replayed, for no transport of that kind is recorded well enough.", Capital(bought), span)
	case a.Avoided.Value < 0:
		return fmt.Sprintf("In %s, %s would have made it worse: %s %s instead of %s (95 %% interval of the difference %s).", span, bought,
			fixed(a.With.Value, 0), p.shortfall(a), fixed(a.Before.Value, 0), IntervalWords(Limit{-a.Avoided.Value, -a.Avoided.High, -a.Avoided.Low}, 0))
	case a.Avoided.Value == 0:
		return fmt.Sprintf("%s would have changed nothing: %s.", Capital(bought), p.nothing(a))
	}
	verb := "spared"
	if a.Fleet != nil {
		verb = "served"
	}
	text := fmt.Sprintf("In %s, %s would have %s %s of the %s %s (95 %% interval %s), at about %s for each.", span, bought, verb,
		fixed(a.Avoided.Value, 0), fixed(a.Before.Value, 0), p.shortfall(a), IntervalWords(a.Avoided, 0), p.result.Money(a.Cost.PerAvoided.Value))
	if a.Before.Value == 1 {
		text = strings.Replace(text, "1 of the 1 "+p.shortfall(a), "the only one of the "+p.shortfall(a), 1)
	}
	text += a.whatHappened()
	if a.Standing == StandsOpen {
		text += " The interval takes in none at all: this may be one bad spell, and the records do not decide."
	}
	return text
}

// whatHappened says what became of the requests that the replay finds without a device: most teams lend and wait.
func (a Answer) whatHappened() string {
	now, _, ok := a.Replays()
	if !ok || a.Avoided.Value <= float64(a.Recorded) {
		return ""
	}
	if now.Lent > 0 {
		return fmt.Sprintf(" Of these %s, %d went out all the same with a device of another team; %d requests are recorded as declined or delayed for want of equipment.",
			fixed(a.Before.Value, 0), now.Lent, a.Recorded)
	}
	return fmt.Sprintf(" %d requests are recorded as declined or delayed for want of equipment; the others went out all the same.", a.Recorded)
}

// nothing says why a candidate would have changed nothing.
func (p *purchasing) nothing(a Answer) string {
	switch {
	case a.Fleet != nil && a.Before.Value == 0:
		return fmt.Sprintf("in %s no request found none of the %d free, and at most %d were wanted at once", p.span.Words(), a.Fleet.Units, a.Fleet.Top())
	case a.Before.Value == 0:
		return fmt.Sprintf("in %s there were no %s, and none with it", p.span.Words(), p.shortfall(a))
	}
	return fmt.Sprintf("in %s the %s %s are as many with it", p.span.Words(), fixed(a.Before.Value, 0), p.shortfall(a))
}

// reasons are what a reader must weigh beside the verdict.
func (p *purchasing) reasons(a Answer) []string {
	if !a.Replayed() {
		return nil
	}
	var lines []string
	if a.Fleet != nil {
		lines = append(lines, p.recorded(a), p.modelled(a))
	} else {
		lines = append(lines, p.supplied(a)...)
	}
	if a.Avoided.Value > 0 {
		lines = append(lines, fmt.Sprintf("Those avoided lie in %d of %d weeks.", a.Weeks, p.span.Weeks()))
	}
	if a.Before.Value == 0 {
		lines = append(lines, fmt.Sprintf("None in %.1f years still leaves room for up to %.1f a year (exact Poisson, 95 %%).", p.span.Years(), zeroCeiling(p.span.Years())))
	}
	return lines
}

// recorded holds the replay against what the records themselves say, and against a fleet that is always there.
func (p *purchasing) recorded(a Answer) string {
	n := a.Fleet
	text := fmt.Sprintf("Recorded for want of equipment: %d declined, %d delayed, of %d requests.", n.TurnedAway, n.Delayed, n.Requests)
	if s := a.Shared; s != nil {
		text += fmt.Sprintf(" The replay lends nothing from elsewhere; if all %d of every team served all requests alike, %s of %d would have found none free.",
			s.Units, LimitText(s.Lost, 0), s.Requests)
	}
	if n.TurnedAway > 0 {
		text += " Which device was wanting is not recorded; each declined request counts as one for this."
	}
	if now, ok := n.Replay(n.Units); ok && n.Away > 0 && a.Before.Value > 0 {
		text += fmt.Sprintf(" Had every unit been there at all times, %s would have found none free, and %s fewer with the candidate.",
			LimitText(now.Lost, 0), LimitText(a.Plain, 0))
	}
	return text
}

// modelled puts Erlang B beside the replay of a fleet that is always there, and says where they part and why they may.
func (p *purchasing) modelled(a Answer) string {
	n := a.Fleet
	now, with, ok := a.Replays()
	if !ok {
		return ""
	}
	text := fmt.Sprintf("Erlang B, for units always there, expects %s none free with %d and %s with %d; the replay gives %s and %s.",
		ExpectedText(now.Erlang), n.Units, ExpectedText(with.Erlang), with.Units, fixed(now.Lost.Value, 0), fixed(with.Lost.Value, 0))
	inside := func(r FleetReplay) bool {
		return r.Erlang >= r.Lost.Low && r.Erlang <= r.Lost.High || math.Abs(r.Erlang-r.Lost.Value) < 1
	}
	if inside(now) && inside(with) {
		return text + " They agree within chance."
	}
	return text + fmt.Sprintf(" They part: the model takes requests for a Poisson stream, while %.0f %% came from 8 to 20 o'clock (50 %% if the hour "+
		"made no difference) and the requests of a day vary %s times as much as chance.", n.Daytime, fixed(n.Dispersion, 1))
}

// supplied says what batteries and cylinders were held against.
func (p *purchasing) supplied(a Answer) []string {
	n, c := a.Supply, a.Candidate
	lines := []string{fmt.Sprintf("Of %d transports that can be judged, %s fell short and %s would have with it.", n.Transports, LimitText(n.Was, 0), LimitText(n.Would, 0))}
	if len(n.LeftOut) > 0 {
		lines[0] += " Left out: " + LeftOutWords(n.LeftOut) + "."
	}
	if c.Kind != KindBattery {
		text := fmt.Sprintf("The set %s holds %s L above the residual pressure when full (%.0f psi).", strings.Join(c.Sizes, " + "), fixed(n.Capacity, 0), c.Pressure)
		if n.Empty > 0 {
			text += fmt.Sprintf(" %d transports took more than that.", n.Empty)
		}
		return append(lines, text)
	}
	lines = append(lines, fmt.Sprintf("Counted on: %s min screen lit (%d × %s min × %s), of which %s min may be drawn.", fixed(n.Capacity, 0), c.Batteries,
		fixed(c.Endurance, 0), fixed(c.Derating, 2), fixed(n.Enough, 0)))
	for _, f := range n.Measured {
		if f.Rated > 0 && f.Last.Value > 0 && f.StandsOut {
			lines = append(lines, fmt.Sprintf("The battery of %s now lasts %s min of its rated %s, by the charge that it lost in its last three months: "+
				"shortfalls before are counted on the rating, and are too few.", f.Device, fixed(f.Last.Value, 0), fixed(f.Rated, 0)))
		}
	}
	return lines
}
