package reports

import (
	"fmt"
	"html/template"
	"regexp"
	"strings"

	"tripwake/queries/measures"
	"tripwake/queries/stats"
	"tripwake/reports/charts"
)

// figure is a chart, the table that says the same, and what a reader must know of both.
type figure struct {
	Title   string
	ID      string // what a case list points to, empty for none
	Drawing template.HTML
	Caption string
	Remarks []string
	Named   []step   // remarks that name transports
	Small   []string // small print beside or under both
	Table   table
	Flags   []flag // what the numbers above a chart stand for
	// Unflagged is how many more numbers stand there.
	Unflagged int
	More      bool // not in a short print
	telling   bool // something in it stands out
	ofAlarms  bool // it leads on from a signal of the alarms
}

// broadFrom is the number of columns from which on a table needs more room than the chart beside it.
const broadFrom = 7

// Layout names the arrangement of the parts as classes of the style sheet: "noted" where small print stands beside chart and
// table on paper, "broad" where the table is too broad for that, "bare" where there is no chart.
func (f figure) Layout() string {
	classes := ""
	if f.More {
		classes = " more"
	}
	if len(f.Small) > 0 {
		classes += " noted"
	}
	if len(f.Table.Head) >= broadFrom {
		classes += " broad"
	}
	if f.Drawing == "" {
		classes += " bare"
	}
	return classes
}

// Scrolls says that the drawing is too wide for a phone: its box scrolls there, and is reached by keyboard.
func (f figure) Scrolls() bool { return strings.Contains(string(f.Drawing), "chart-timeline") }

// columnWidth is the width of a chart that stands beside its table: drawn so narrow, its
// words can still be read in print and on a screen of 320 px.
const columnWidth = 360

// seriesHeight keeps a chart over time no higher than its table of a year and a half, so that three measures fit on a page.
const seriesHeight = 210

// artist draws the charts of one report and numbers what was changed and agreed, so that charts and the list of notes agree.
type artist struct {
	renderer *charts.Renderer
	month    string
	marks    []mark
}

// seriesFigure draws one chart of a measure over time.
func (a *artist) seriesFigure(item measures.Item, s measures.Series) (figure, error) {
	s, left := s.Latest(pointsShown(s))
	item.Months = item.Months[max(0, len(item.Months)-len(s.Points)):]
	f := figure{Title: item.Definition.Title + ", " + s.Drawn, Caption: seriesCaption(s) + leftWords(s, left), Table: seriesTable(a.month, item, s)}
	if !hasValue(s) {
		f.Remarks = []string{"Too few data to draw a chart."}
		return f, nil
	}
	if s.Warning != "" {
		f.Remarks = append(f.Remarks, capital(s.Warning)+".")
	}
	if since := s.SinceWords(); since != "" {
		f.Remarks = append(f.Remarks, capital(since)+".")
	}
	if lines := s.LimitsWords(); len(lines) > 0 {
		f.Remarks = append(f.Remarks, strings.Join(lines, " "))
	}
	f.Flags, f.Unflagged = a.flagsOn(s)
	svg, err := a.draw(item, s)
	f.Drawing = picture(svg)
	return f, err
}

// Charts and tables over time show the latest points: more cannot be told apart on a page.
const (
	monthsShown = 36
	gapsShown   = 60
)

func pointsShown(s measures.Series) int {
	if s.Kind == measures.ChartG || s.Kind == measures.ChartT {
		return gapsShown
	}
	return monthsShown
}

// leftWords say how many points are not shown, and where their numbers are.
func leftWords(s measures.Series, left int) string {
	if left == 0 {
		return ""
	}
	return fmt.Sprintf(" The latest %d points of %d are shown; centre and limits are those of all. Every month: tripwake measure %s --by month.",
		len(s.Points), len(s.Points)+left, s.Definition.ID)
}

// inlineWidth is the one inline style of a chart. The policy of the page forbids it; the style sheet sets the width.
var inlineWidth = regexp.MustCompile(` style="max-width:[0-9]+px"`)

func withoutStyle(svg string) string { return inlineWidth.ReplaceAllString(svg, "") }

// picture makes a chart ready to stand in the page.
func picture(svg string) template.HTML { return template.HTML(withoutStyle(svg)) }

func hasValue(s measures.Series) bool {
	for _, p := range s.Points {
		if p.Value == p.Value { // NaN is not itself
			return true
		}
	}
	return false
}

func (a *artist) draw(item measures.Item, s measures.Series) (string, error) {
	frame := charts.Frame{Width: columnWidth, Height: seriesHeight, ID: chartID(s), Title: item.Definition.Title, Desc: describe(s)}
	axis := charts.Axis{Title: s.Axis, Unit: axisUnit(s.Unit), Decimals: s.Decimals, Floor: charts.At(0)}
	if s.Unit == "%" {
		axis.Ceiling = charts.At(100)
	}
	lines := linesOf(s)
	if s.Kind == measures.ChartG || s.Kind == measures.ChartT {
		axis.Integer = s.Kind == measures.ChartG
		axis.Unit = "" // the title says it; beside each line there is no room for "transports"
		return a.renderer.RareEvents(charts.RareEvents{Frame: frame, Axis: axis, X: eventLabels(s), Y: lines.value, Centre: lines.centre,
			Lower: lines.lower, Upper: lines.upper, CentreName: s.CentreName, Signals: signalsOn(s), Notes: a.notesOn(s), Running: s.Running, XTitle: "Event, by its month"})
	}
	return a.renderer.Control(charts.Control{Frame: frame, Axis: axis, X: monthsOf(s), Y: lines.value, Centre: lines.centre,
		Lower: lines.lower, Upper: lines.upper, CentreName: s.CentreName, Signals: signalsOn(s), Phases: phasesOf(s), Notes: a.notesOn(s), Focus: a.month})
}

func chartID(s measures.Series) string {
	kind := strings.NewReplacer(" ", "-").Replace(strings.ToLower(string(s.Kind)))
	return strings.ReplaceAll(s.Definition.ID, "_", "-") + "-" + kind
}

// axisUnit is the unit as it stands on an axis; a plain ratio has none.
func axisUnit(unit string) string {
	if unit == "1" {
		return ""
	}
	return unit
}

// drawn are the numbers of a series as package charts takes them: nil where a line does not exist at all.
type drawn struct{ value, centre, lower, upper []float64 }

func linesOf(s measures.Series) drawn {
	var d drawn
	for _, p := range s.Points {
		d.value = append(d.value, p.Value)
		if s.Judged {
			d.centre = append(d.centre, p.Centre)
		}
		if s.Judged && s.LimitName != "" {
			d.lower, d.upper = append(d.lower, p.Lower), append(d.upper, p.Upper)
		}
	}
	return d
}

func monthsOf(s measures.Series) []string {
	months := make([]string, len(s.Points))
	for i, p := range s.Points {
		months[i] = p.Month
	}
	return months
}

// eventLabels are the months of the events; several events of a month bear its name.
func eventLabels(s measures.Series) []string { return monthsOf(s) }

// signalsOn puts the signals on their points: the single point beyond a limit, or every point of a run with its word on the last.
func signalsOn(s measures.Series) []charts.Signal {
	var found []charts.Signal
	marked := map[int]bool{}
	for _, sig := range s.Signals {
		if sig.Rule == stats.RuleFewCrossings {
			continue // it lies in the whole series, and stands in the text
		}
		kind := charts.Shift
		if sig.Rule == stats.RuleBeyond {
			kind = charts.Beyond
		}
		for i := sig.First; i <= sig.Last; i++ {
			if p := s.Points[i]; p.Value != p.Value || marked[i] {
				continue
			}
			marked[i] = true
			found = append(found, charts.Signal{At: i, Kind: kind})
		}
	}
	return found
}

// leastNamed is how many points a frozen stretch needs for its name to have room on the chart; the text says it anyway.
const leastNamed = 3

// phasesOf marks where limits were frozen or made anew; a chart whose limits come from all its months has no marks.
func phasesOf(s measures.Series) []charts.Phase {
	var marks []charts.Phase
	for _, p := range s.Phases {
		frozen := p.Frozen(s.Points)
		switch {
		case p.Start > 0:
			marks = append(marks, charts.Phase{Start: p.Start, Label: "new"})
		case frozen > 0:
			marks = append(marks, charts.Phase{Start: 0, Label: "baseline"})
		}
		if frozen > p.Start && p.End-frozen >= leastNamed {
			marks = append(marks, charts.Phase{Start: frozen, Label: "frozen"})
		}
	}
	return marks
}

// describe says in words what a chart shows, for those who do not see it.
func describe(s measures.Series) string {
	if len(s.Points) == 0 {
		return s.Axis + ": no points."
	}
	text := fmt.Sprintf("%s of %s, %s, %s to %s.", capital(s.Drawn), s.Definition.Title, s.Axis, s.Points[0].Month, s.Points[len(s.Points)-1].Month)
	for _, sig := range s.Signals {
		text += " Signal: " + sig.Words + "."
	}
	return text + " The table holds every number."
}

func seriesCaption(s measures.Series) string {
	text := capital(s.Drawn) + ": " + s.Axis
	if unit := axisUnit(s.Unit); unit != "" && !strings.Contains(s.Axis, strings.TrimSpace(unit)) && unit != "transports" && unit != "days" {
		text += ", " + unit
	}
	if s.Judged {
		text += ". Line: " + s.CentreName
	}
	if s.Judged && s.LimitName != "" {
		text += "; limits: " + s.LimitName
	}
	return text + "."
}

// seriesTable lists the points of a chart with n, interval, centre and limits.
func seriesTable(month string, item measures.Item, s measures.Series) table {
	if s.Kind == measures.ChartG || s.Kind == measures.ChartT {
		return gapTable(month, s)
	}
	withInterval := s.Kind != measures.ChartPTarget && item.Definition.Interval != "none"
	t := table{Caption: s.Axis + ", by month"}
	t.Head = columns("Month", "n#", headWithUnit("Value", s.Unit)+"#")
	if withInterval {
		t.Head = append(t.Head, column{"95 % interval", true})
	}
	t.Head = append(t.Head, column{centreOrLimits(s), true}, column{"Signal", false})
	words := signalWords(s)
	for i, p := range s.Points {
		cells := []string{p.Month, fmt.Sprint(p.N), orDash(s.PointText(p.Value))}
		if withInterval {
			cells = append(cells, item.Definition.IntervalText(item.Months[i]))
		}
		t.add(focus(p.Month, month), append(cells, limitsText(s, p), words[i])...)
	}
	return t.trimmed()
}

func gapTable(month string, s measures.Series) table {
	t := table{Caption: s.Axis, Head: columns("Event of", capital(s.Unit)+" since the one before#", "Limits#", "Signal")}
	words := signalWords(s)
	for i, p := range s.Points {
		t.add(focus(p.Month, month), p.Month, s.PointText(p.Value), limitsText(s, p), words[i])
	}
	if since := s.SinceWords(); since != "" {
		t.add("total", "so far", s.PointText(*s.Running), "", "not ended")
	}
	return t
}

func focus(month, reported string) string {
	if month == reported {
		return "focus"
	}
	return ""
}

func centreOrLimits(s measures.Series) string {
	if s.LimitName == "" {
		return capital(s.CentreName)
	}
	return "Limits"
}

func limitsText(s measures.Series, p measures.Point) string {
	if s.LimitName == "" {
		return s.PointText(p.Centre)
	}
	lower, upper := s.PointText(p.Lower), s.PointText(p.Upper)
	if lower == "" {
		return ""
	}
	return lower + "–" + upper
}

// signalWords names, for each point, the signals that it is part of.
func signalWords(s measures.Series) map[int]string {
	words := map[int]string{}
	for _, sig := range s.Signals {
		word := "run"
		switch {
		case sig.Rule == stats.RuleFewCrossings:
			continue
		case sig.Rule == stats.RuleBeyond && sig.Up:
			word = "above"
		case sig.Rule == stats.RuleBeyond:
			word = "below"
		}
		for i := sig.First; i <= sig.Last; i++ {
			words[i] = joined(words[i], word)
		}
	}
	return words
}
