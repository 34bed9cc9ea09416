package reports

import (
	"context"
	"fmt"
	"strings"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// risk is deaths against how ill patients were, and how that changed under way.
type risk struct {
	deaths             measures.Expected
	months, gestations []measures.RiskChange
}

func (f *facts) readRisk(ctx context.Context, in Input) error {
	risks, err := in.Reader.Risks(ctx, "", in.Month)
	if err != nil {
		return err
	}
	if f.risk.deaths, err = measures.ExpectedOf(risks, in.RiskBaseline, f.review.First, in.Month); err != nil {
		return err
	}
	if f.risk.months, err = measures.RiskChangesByMonth(risks, f.months); err != nil {
		return err
	}
	f.risk.gestations, err = measures.RiskChangesByGestation(risks)
	return err
}

// riskFigures are the chart of a measure of deaths and, beside it, how risk changed under way.
func (a *artist) riskFigures(f facts) ([]figure, error) {
	deaths, err := a.deathsFigure(f.risk.deaths)
	return []figure{deaths, changeFigure(f.risk)}, err
}

// deathsFigure shows deaths by band of risk: observed, and expected where there is a baseline.
func (a *artist) deathsFigure(e measures.Expected) (figure, error) {
	fig := figure{Title: "Deaths within 7 days by risk", Table: deathsTable(e), Remarks: deathsRemarks(e), Small: deathsLeftOut(e),
		Caption: fmt.Sprintf("Deaths by TRIPS (transport risk index, 0 to 65) when the team arrived, %s: observed with 95 %% exact Poisson interval", spanWords([]string{e.From, e.To}))}
	if e.None == "" {
		fig.Caption += ", and expected from the baseline, " + e.Baseline.Words()
	}
	fig.Caption += "."
	if e.All.N == 0 {
		fig.Remarks = append(fig.Remarks, "No transport has both a score and an outcome.")
		return fig, nil
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Axis: charts.Axis{Title: "Deaths", Decimals: 1, Floor: charts.At(0)},
		Groups: []charts.IntervalGroup{{Rows: deathsRows(e)}},
		Frame: charts.Frame{Width: columnWidth, ID: "deaths-by-risk", Title: fig.Title,
			Desc: "Deaths observed and expected in each band of risk; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func deathsRows(e measures.Expected) []charts.Interval {
	var rows []charts.Interval
	for _, b := range e.Bands {
		row := charts.Interval{Label: b.Band, Value: charts.Missing(), Low: orMissing(b.ObservedLow), High: orMissing(b.ObservedHigh), N: b.N}
		if b.N > 0 {
			row.Value, row.Text = float64(b.Observed), fmt.Sprint(b.Observed)
		}
		if e.None != "" {
			rows = append(rows, row)
			continue
		}
		row.Label += ", observed"
		rows = append(rows, row, charts.Interval{Label: "expected", Value: orMissing(b.Expected), Low: charts.Missing(), High: charts.Missing(),
			N: b.BaselineN, Text: b.ExpectedText()})
	}
	return rows
}

func deathsTable(e measures.Expected) table {
	t := table{Caption: "Deaths within 7 days by TRIPS at the team's arrival", Wide: e.None == "", Head: columns("TRIPS", "n#", "Deaths#")}
	if e.None == "" {
		t.Head = append(t.Head, columns("Expected#", "Observed over expected#", "Baseline n#", "Baseline deaths#")...)
	}
	for _, b := range e.Bands {
		t.deaths("", e, b)
	}
	t.deaths("total", e, e.All)
	t.deaths("focus", e, e.Month)
	return t
}

// deaths puts one band, or a total, into the table.
func (t *table) deaths(class string, e measures.Expected, d measures.Deaths) {
	cells := []string{capital(d.Band), fmt.Sprint(d.N), fmt.Sprint(d.Observed)}
	if e.None == "" {
		cells = append(cells, orDash(d.ExpectedText()), orDash(d.RatioText()), emptyZero(d.BaselineN), emptyZero(d.BaselineDied))
	}
	t.add(class, cells...)
}

func emptyZero(n int) string {
	if n == 0 {
		return "–"
	}
	return fmt.Sprint(n)
}

// deathsRemarks say what the numbers rest on.
func deathsRemarks(e measures.Expected) []string {
	lines := []string{"Observed deaths stand alone, because " + e.None + ": how ill patients were is not taken into account, so a high month is no judgement of care. " +
		"The setting risk_baseline_to makes an expectation from the team's own earlier months."}
	if e.None == "" {
		lines = []string{"Expected: each transport counts the share of deaths that its band of risk had in the baseline. " +
			"The interval takes the expectation as known; a small baseline makes it wider than it says."}
	}
	if e.All.Warning != "" {
		lines = append(lines, capital(e.All.Warning)+".")
	}
	return lines
}

// deathsLeftOut say who is not in the numbers, by reason.
func deathsLeftOut(e measures.Expected) []string {
	var lines []string
	if text := measures.LeftOutWords(e.LeftOut); text != "" {
		lines = append(lines, "Left out of the deaths by risk: "+text+".")
	}
	if text := measures.LeftOutWords(e.LeftOutOf); text != "" {
		lines = append(lines, "Left out of their baseline: "+text+".")
	}
	return lines
}

// changeFigure is the table of the change of risk under way.
func changeFigure(r risk) figure {
	t := table{Caption: "Medians of TRIPS: on arrival of the team, on arrival at the receiving hospital, and the change",
		Head: columns("", "n#", "Team#", "Receiving#", "Change#", "95 % interval#", "Left out#")}
	for _, part := range []struct {
		heading string
		rows    []measures.RiskChange
	}{{"By gestation at birth, completed weeks", r.gestations}, {"By month", r.months}} {
		if len(part.rows) == 0 {
			continue
		}
		t.part(part.heading)
		for _, c := range part.rows {
			before, after, change := c.Texts()
			t.add("", c.Group, fmt.Sprint(c.N), orDash(before), orDash(after), orDash(change), c.IntervalText(), fmt.Sprint(c.LeftOut))
		}
	}
	return figure{Title: "Change of risk under way", Table: t,
		Caption: strings.Join([]string{"Change of risk under way: the median of each transport's TRIPS on arrival at the receiving hospital less that on arrival of the team.",
			"Above 0 is worse. Interval by order statistics, from 6 transports on. Left out: a part of one of the two scores is not recorded;",
			"a patient who died under way has no second score."}, " ")}
}
