package reports

import (
	"context"
	"fmt"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// funnels are the measures that are held against each other by referring hospital: those that a hospital or its patients can
// move, and that are not first of all a matter of how ill these are.
var funnels = []string{"hypothermia_on_arrival", "adverse_events", "declined"}

func (f *facts) readFunnels(ctx context.Context, in Input) error {
	f.funnels = map[string]measures.Funnel{}
	for _, id := range funnels {
		found, ok, err := measures.FunnelOf(ctx, in.Reader, id, f.review.First, in.Month)
		if err != nil {
			return err
		}
		if ok {
			f.funnels[id] = found
		}
	}
	return nil
}

// funnelFigure shows a measure by referring hospital, where it is one of those.
func (a *artist) funnelFigure(view *measureView, f facts, d measures.Definition) error {
	found, ok := f.funnels[d.ID]
	if !ok {
		return nil
	}
	fig := figure{Title: d.Title + " by referring hospital", Table: funnelTable(found),
		Caption: fmt.Sprintf("Each mark is a referring hospital, all months shown. Limits: where chance alone puts 95 and 99.8 %% of hospitals of that size; %s. "+
			"A funnel is no ranking: hospitals differ in their patients, and one outside the limits is a reason to look.", found.Words())}
	if found.Warning != "" {
		fig.Remarks = append(fig.Remarks, capital(found.Warning)+".")
	}
	if found.NotRecorded > 0 {
		fig.Remarks = append(fig.Remarks, fmt.Sprintf("Left out, because the referring hospital is not recorded: %d.", found.NotRecorded))
	}
	svg, err := a.renderer.Funnel(funnelChart(found, fig.Title))
	fig.Drawing = picture(svg)
	view.Figures = append(view.Figures, fig)
	return err
}

func funnelChart(found measures.Funnel, title string) charts.Funnel {
	d := found.Definition
	c := charts.Funnel{Centre: found.Centre, CentreName: "all",
		X: charts.Axis{Title: capital(d.Counts), Integer: true, Floor: charts.At(0)}, Y: charts.Axis{Title: d.Title, Unit: d.Unit, Decimals: 1, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "funnel-" + slug(d.ID), Title: title,
			Desc: "Value of each referring hospital by its size, between limits that narrow with size; the table holds every number."}}
	if d.Unit == "%" {
		c.Y.Ceiling = charts.At(100)
	}
	for _, s := range found.Sites {
		c.Points = append(c.Points, charts.FunnelPoint{Label: s.Name, N: s.Size, Value: s.Value, Outside: s.Outside != ""})
	}
	for _, l := range []struct {
		name  string
		curve measures.Curve
	}{{"95 %", found.Inner}, {"99.8 %", found.Outer}} {
		c.Limits = append(c.Limits, charts.FunnelLimit{Name: l.name, N: l.curve.Sizes, Lower: l.curve.Lower, Upper: l.curve.Upper})
	}
	return c
}

func funnelTable(found measures.Funnel) table {
	d := found.Definition
	t := table{Caption: d.Title + " by referring hospital, in order of name",
		Head: columns("Hospital", "n#", headWithUnit("Value", d.Unit)+"#", "95 % limits#", "99.8 % limits#", "Outside")}
	for _, s := range found.Sites {
		inner, outer := found.LimitsText(s)
		t.add("", s.Name, fmt.Sprint(s.N), d.Text(&s.Value, s.N), inner, outer, outsideWords(s))
		t.Rows[len(t.Rows)-1].Keep = s.Outside != ""
	}
	return t.trimmed().atMost(rowsShown, "tripwake measure "+d.ID+" --by referring_site")
}

// outsideWords say beyond which limits a hospital lies, and on which side.
func outsideWords(s measures.Site) string {
	switch {
	case s.Outside == "":
		return ""
	case s.Up:
		return "above " + s.Outside
	default:
		return "below " + s.Outside
	}
}
