package reports

import (
	"fmt"
	"math"
	"strings"

	"tripwake/queries/measures"
)

// purchaseBlock is one candidate on the first page.
type purchaseBlock struct {
	Class, Word   string // the class of its bar, and the same in words
	Name, Price   string
	Target        string // its details
	Verdict       string
	Need, Changed string
	Model, Cost   string
}

// standingWords say on which side the records are; the class colours the bar beside the words.
var standingWords = map[string][2]string{
	measures.StandsFor:     {"better", "The records speak for it"},
	measures.StandsAgainst: {"worse", "The records speak against it"},
	measures.StandsOpen:    {"changed", "The records do not decide"},
}

func candidateID(i int) string { return fmt.Sprintf("candidate-%d", i+1) }

func (b *buyer) block(i int, a measures.Answer) purchaseBlock {
	c := a.Candidate
	standing := standingWords[a.Standing]
	block := purchaseBlock{Class: standing[0], Word: standing[1], Name: c.Name, Target: candidateID(i), Verdict: a.Verdict}
	block.Price = fmt.Sprintf("%d × %s, life %s, service %s a year each", c.Add, b.of.Money(c.Price), yearsWords(c.Life), b.of.Money(c.Service))
	if !a.Replayed() {
		block.Need, block.Changed, block.Model = "nothing recorded", "cannot be told", "none"
		block.Cost = b.of.Money(a.Cost.PerYear) + " a year"
		return block
	}
	block.Need, block.Model = needWords(a), modelWords(a)
	block.Changed = fmt.Sprintf("%s fewer; %s left", measures.LimitText(a.Avoided, 0), measures.LimitText(a.With, 0))
	if a.Standing == measures.StandsAgainst {
		block.Changed = fmt.Sprintf("nothing: %s with it", measures.LimitText(a.With, 0))
	}
	block.Cost = b.costWords(a)
	return block
}

func yearsWords(years float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", years), ".0") + " years"
}

// needWords are the shortfalls as they were, with what the records themselves say.
func needWords(a measures.Answer) string {
	if n := a.Fleet; n != nil {
		text := fmt.Sprintf("%s of %d requests found none of %d free; recorded: %d declined, %d delayed", measures.LimitText(a.Before, 0),
			n.Requests, n.Units, n.TurnedAway, n.Delayed)
		if s := a.Shared; s != nil {
			text += fmt.Sprintf(". Shared by all teams: %s of %d found none of %d free", measures.LimitText(s.Lost, 0), s.Requests, s.Units)
		}
		return text
	}
	return fmt.Sprintf("%s of %d transports fell short", measures.LimitText(a.Before, 0), a.Supply.Transports)
}

// modelWords put a model beside the replay: Erlang B and k of n for devices, the battery as it now lasts.
func modelWords(a measures.Answer) string {
	n := a.Fleet
	if n == nil {
		return supplyModel(a)
	}
	now, with, _ := a.Replays()
	text := fmt.Sprintf("Erlang B, always there: %s with %d, %s with %d", measures.ExpectedText(now.Erlang), now.Units, measures.ExpectedText(with.Erlang), with.Units)
	if rows := a.Up.Rows; len(rows) > 0 {
		last := rows[len(rows)-1]
		text += fmt.Sprintf(". k of n: %d of %d up %s %% of the time, %s %% with it", last.Need, last.Need, measures.ShareText(last.Now), measures.ShareText(last.With))
	}
	return text
}

func supplyModel(a measures.Answer) string {
	for _, f := range a.Supply.Measured {
		if f.StandsOut {
			return fmt.Sprintf("by its charge the battery of %s now lasts %.0f min of %.0f rated", f.Device, f.Last.Value, f.Rated)
		}
	}
	return "none: every transport is held against what it drew"
}

func (b *buyer) costWords(a measures.Answer) string {
	text := b.of.Money(a.Cost.PerYear) + " a year"
	if math.IsNaN(a.Cost.PerAvoided.Value) {
		return text + "; no cost per shortfall avoided, for none would have been"
	}
	return text + "; for each avoided " + b.of.MoneyRange(a.Cost.PerAvoided)
}

func decimals(v float64, n int) string { return fmt.Sprintf("%.*f", n, v) }

// needSentence is the need of the span in one sentence or two.
func needSentence(p measures.Purchase, s PurchaseSettings) string {
	var parts []string
	for _, n := range p.Needs {
		if n.Kind == "team" {
			parts = append(parts, fmt.Sprintf("%s came in; %d were declined and %d delayed for want of equipment", plural(n.Requests, "request"), n.TurnedAway, n.Delayed))
		}
	}
	for _, supply := range p.Supplies {
		switch {
		case supply.Transports == 0:
		case supply.What == measures.KindBattery:
			parts = append(parts, fmt.Sprintf("%.0f of %s drew more than %s of the rated battery", supply.Was.Value, plural(supply.Transports, "transport"), s.BatteryShare))
		case supply.What == "oxygen":
			parts = append(parts, fmt.Sprintf("%.0f of %d arrived with less than %s of oxygen", supply.Was.Value, supply.Transports, s.OxygenReserve))
		}
	}
	if len(parts) == 0 {
		return "No request of these months can be replayed."
	}
	return strings.Join(parts, "; ") + "."
}
