package charts

import (
	"math"

	echarts "github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// sheet is one chart on its way: where the plot lies, how values map to it, the marks that ECharts places by value, and
// the ink (texts, rules, boxes) that is placed in px.
type sheet struct {
	frame         Frame
	kind          string
	width, height float64
	plot          box
	x, y          scale
	marks         []echarts.SingleSeries
	shades        []string               // fills of a matrix, few to many
	ink           []element              // below the marks where under is set, else above
	texts         []placed               // every text as placed, for placing others and for the tests
	many          []dot                  // round marks of large series, which need no machine to be drawn
	crowd         []echarts.SingleSeries // the same marks for a browser
	tips          []tip                  // what a pointer is told, in a page that answers to it
	names         []string               // of the points along x, where they have any
}

type placed struct {
	box
	text string
}

type stroke struct {
	colour string
	width  float64
	dash   string // "", "dashed", "dotted"
}

type marker struct {
	shape     string // a symbol of ECharts
	size      float64
	fill      string
	edge      string
	edgeWidth float64
}

// xy is one point by value; a NaN in Y is a gap.
type xy struct{ X, Y float64 }

// newSheet takes the size from the frame, or the given height where the frame leaves it open.
func newSheet(kind string, f Frame, height int) *sheet {
	if f.Width == 0 {
		f.Width = defaultWidth
	}
	if f.Height == 0 {
		f.Height = height
	}
	return &sheet{frame: f, kind: kind, width: float64(f.Width), height: float64(f.Height)}
}

func (s *sheet) narrow() bool { return s.width < narrow }

// setPlot fixes the plot's borders, on whole px so that rules are crisp.
func (s *sheet) setPlot(left, top, right, bottom float64) {
	s.plot = box{math.Round(left), math.Round(top), math.Round(s.width - right), math.Round(s.height - bottom)}
}

func (s *sheet) px(v float64) float64 { return s.plot.left + s.x.at(v)*s.plot.width() }

func (s *sheet) py(v float64) float64 {
	if s.y.down {
		return s.plot.top + s.y.at(v)*s.plot.height()
	}
	return s.plot.bottom - s.y.at(v)*s.plot.height()
}

// line adds a line through points, broken at gaps.
func (s *sheet) line(points []xy, k stroke) {
	chart := echarts.NewLine().AddSeries("", lineData(points), func(e *echarts.SingleSeries) {
		e.LineStyle = &opts.LineStyle{Color: k.colour, Width: float32(k.width), Type: orElse(k.dash, "solid"), Opacity: opts.Float(1)}
		e.ItemStyle = &opts.ItemStyle{Color: k.colour}
		e.ShowSymbol = opts.Bool(false)
		e.ConnectNulls = opts.Bool(false)
	})
	s.marks = append(s.marks, chart.MultiSeries...)
}

func lineData(points []xy) []opts.LineData {
	data := make([]opts.LineData, len(points))
	for i, p := range points {
		data[i].Value = []any{p.X, orGap(p.Y)}
	}
	return data
}

// orGap writes a missing number as ECharts knows it.
func orGap(v float64) any {
	if math.IsNaN(v) {
		return "-"
	}
	return v
}

// manyDots is from how many round marks on a series is written by ourselves: ECharts takes half a millisecond for each.
const manyDots = 200

// dots adds a mark at each point that is there.
func (s *sheet) dots(points []xy, m marker) {
	if len(points) >= manyDots && m.shape == "circle" {
		s.manyDots(points, m)
		s.crowd = append(s.crowd, scatter(points, m))
		return
	}
	s.marks = append(s.marks, scatter(points, m))
}

// scatter is a series of marks.
func scatter(points []xy, m marker) echarts.SingleSeries {
	var data []opts.ScatterData
	for _, p := range points {
		if !math.IsNaN(p.Y) {
			data = append(data, opts.ScatterData{Value: []any{p.X, p.Y}})
		}
	}
	chart := echarts.NewScatter().AddSeries("", data, func(e *echarts.SingleSeries) {
		e.Symbol, e.SymbolSize = m.shape, m.size
		e.ItemStyle = &opts.ItemStyle{Color: m.fill, BorderColor: m.edge, BorderWidth: float32(m.edgeWidth), Opacity: opts.Float(1)}
	})
	return chart.MultiSeries[0]
}

// bars adds one part of a bar to every band; share is the bar's part of its band in percent, as ECharts writes it.
func (s *sheet) bars(values []float64, fill, share string) {
	data := make([]opts.BarData, len(values))
	for i, v := range values {
		data[i].Value = orGap(v)
	}
	chart := echarts.NewBar().AddSeries("", data, func(e *echarts.SingleSeries) {
		e.Stack = "all"
		e.BarWidth = share
		e.ItemStyle = &opts.ItemStyle{Color: fill, BorderColor: white, BorderWidth: 1, Opacity: opts.Float(1)}
	})
	s.marks = append(s.marks, chart.MultiSeries...)
}

// cells adds the cells of a matrix: column, row, index of the shade.
func (s *sheet) cells(cells [][3]int) {
	data := make([]opts.HeatMapData, len(cells))
	for i, c := range cells {
		data[i].Value = c
	}
	chart := echarts.NewHeatMap().AddSeries("", data, func(e *echarts.SingleSeries) {
		e.ItemStyle = &opts.ItemStyle{BorderColor: rule, BorderWidth: 1}
	})
	s.marks = append(s.marks, chart.MultiSeries...)
}

// manyDots places the marks of a large series, as ECharts would.
func (s *sheet) manyDots(points []xy, m marker) {
	shared := ` fill="` + m.fill + `"`
	if m.edge != "" {
		shared += ` stroke="` + m.edge + `" stroke-width="` + brief(m.edgeWidth) + `"`
	}
	for _, p := range points {
		if !math.IsNaN(p.Y) {
			s.many = append(s.many, dot{x: oneDecimal(s.px(p.X)), y: oneDecimal(s.py(p.Y)), r: brief(m.size / 2), shared: shared})
		}
	}
}
