package charts

import (
	"encoding/json"
	"fmt"
	"strconv"

	echarts "github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// option writes the sheet as an ECharts option in JSON.
//
// It goes through Validate and json.Marshal(JSON()), which escapes; go-echarts' own rendering would let a script tag in a
// word through. What go-echarts has no field for (graphic elements) or writes wrongly (progressive: its setter
// emits null) is added to the map.
func (s *sheet) option() ([]byte, error) {
	text, err := json.Marshal(s.optionMap(s.marks))
	if err != nil {
		return nil, fmt.Errorf("charts: %s: cannot write the option: %w", s.frame.ID, err)
	}
	return text, nil
}

// optionMap is the option of a sheet with these marks.
func (s *sheet) optionMap(marks []echarts.SingleSeries) map[string]any {
	host := echarts.NewLine()
	host.SetGlobalOptions(
		echarts.WithInitializationOpts(opts.Initialization{ChartID: s.frame.ID, Width: px(s.width), Height: px(s.height)}),
		echarts.WithAnimation(false),
		echarts.WithGridOpts(s.grid()),
		echarts.WithXAxisOpts(s.x.xAxis()),
		echarts.WithYAxisOpts(s.y.yAxis()),
	)
	host.SetXAxis(s.x.names())
	host.MultiSeries = marks
	host.Validate()
	option := host.JSON()
	for _, unused := range []string{"title", "legend", "tooltip", "toolbox"} {
		delete(option, unused)
	}
	option["color"] = allColours
	option["progressive"] = 0 // else marks beyond the 400th of a large series are left out
	option["hoverLayerThreshold"] = -1
	option["graphic"] = s.ink
	if len(s.shades) > 0 {
		option["visualMap"] = s.visualMap()
	}
	return option
}

func px(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + "px" }

func (s *sheet) grid() opts.Grid {
	return opts.Grid{
		Left: px(s.plot.left), Top: px(s.plot.top),
		Right: px(s.width - s.plot.right), Bottom: px(s.height - s.plot.bottom),
	}
}

// kind is the type of axis as ECharts names it.
func (s scale) kind() string {
	switch {
	case s.bands > 0:
		return "category"
	case s.log:
		return "log"
	}
	return "value"
}

// names are those of the bands: their numbers. The words beside them are set by us, so that none is a template.
func (s scale) names() any {
	if s.bands == 0 {
		return nil
	}
	out := make([]string, s.bands)
	for i := range out {
		out[i] = strconv.Itoa(i)
	}
	return out
}

func (s scale) ends() (lo, hi any) {
	if s.bands > 0 {
		return nil, nil
	}
	return s.lo, s.hi
}

func (s scale) xAxis() opts.XAxis {
	lo, hi := s.ends()
	return opts.XAxis{Type: s.kind(), Show: opts.Bool(false), Min: lo, Max: hi, Inverse: opts.Bool(s.down)}
}

func (s scale) yAxis() opts.YAxis {
	lo, hi := s.ends()
	return opts.YAxis{Type: s.kind(), Show: opts.Bool(false), Min: lo, Max: hi, Inverse: opts.Bool(s.down), Data: s.names()}
}

// visualMap paints the cells of a matrix by the index of their shade.
func (s *sheet) visualMap() []map[string]any {
	pieces := make([]map[string]any, len(s.shades))
	for i, colour := range s.shades {
		pieces[i] = map[string]any{"value": i, "color": colour}
	}
	return []map[string]any{{"type": "piecewise", "show": false, "dimension": 2, "pieces": pieces}}
}
