package draft

import (
	"math"
	"strings"
	"unicode"

	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

// The weights of the evidence, all in one place. A score is fit × (name + (1 − name) × byValues × telling): a header's name
// counts whole, values that speak for themselves (codes, 27+3) half, and values that do not fit take all away.
const (
	byValues   = 0.5  // what values alone can reach
	proposed   = 0.5  // least score of a column that is proposed
	certain    = 0.75 // least score of one without a mark
	margin     = 0.12 // least distance to the next best, without a mark
	codesFloor = 0.25 // fit of a column of codes of which none is known
	namedFloor = 0.6  // the same where the name is clear: the codes are marked as unknown
)

// target is one column of a table, or one quantity of readings in a column of its own.
type target struct {
	table    string
	column   records.Column
	quantity bool
	phrases  []phrase
}

// name of the target as a layout writes it.
func (t target) name() string { return t.column.Name }

// targetsOf lists what a table's headers may be. Wide readings have a column for each quantity instead of quantity and value.
func targetsOf(table records.Table, wide bool) []target {
	var all []target
	for _, c := range table.Columns {
		if wide && (c.Name == "quantity" || c.Name == "value" || c.Name == "unit") {
			continue
		}
		all = append(all, target{table.Name, c, false, phrases[table.Name][c.Name]})
	}
	if !wide {
		return all
	}
	for _, q := range records.Quantities() {
		if q.Name == alarmsOnly {
			continue
		}
		c := records.Column{Name: q.Name, Kind: records.Number, Unit: q.Unit, Range: &q.Range}
		all = append(all, target{table.Name, c, true, phrases["quantities"][q.Name]})
	}
	return all
}

// score is how well a header fits a target, and why.
type score struct {
	name    float64 // likeness of the name to the target's synonyms
	fit     float64 // share of the cells that the target could keep
	telling float64 // how much the values speak for this target and no other
	rescued bool    // paired because nothing else could be the required column
}

func (s score) total() float64 {
	if s.rescued {
		return 0.5 * s.fit
	}
	if s.name < 0.3 && s.telling == 0 {
		return 0
	}
	return s.fit * (s.name + (1-s.name)*byValues*s.telling)
}

// rate holds one column of cells against one target.
func rate(f features, t target) score {
	s := score{name: likeness(f.concepts, t.phrases)}
	if f.wider != nil {
		s.name = max(s.name, likeness(f.wider, t.phrases))
	}
	if f.filled == 0 {
		s.fit = 0.8
		return s
	}
	switch t.column.Kind {
	case records.Text:
		s.fit, s.telling = fitText(f, t), tellIdentifier(f, t)
	case records.Code:
		s.fit, s.telling = fitCode(f, t)
		if s.name >= certain && f.few() && f.numeric < 0.5 && len(f.forms) == 0 {
			s.fit = max(s.fit, namedFloor)
		}
	case records.Flag:
		s.fit = fitFlag(f, t)
	case records.Number:
		s.fit, s.telling = fitNumber(f, t)
	case records.Time, records.Date:
		s.fit = fitTime(f, t)
	}
	return s
}

// fitText says whether texts can be identifiers, names or stories, as the column needs.
func fitText(f features, t target) float64 {
	if len(f.forms) > 0 && f.numeric < 1 {
		return 0.1
	}
	switch t.name() {
	case "transport_id", "event_id", "patient_key":
		return fitIdentifier(f, t)
	case "device_id", "ventilator_id", "cylinder_id":
		switch {
		case f.words > 3 || f.points+f.commas > 0:
			return 0.2
		case withDigits(f) == 0 && t.table != "carried":
			return 0.6
		}
		return 1
	case "narrative", "text":
		return math.Min(1, f.words/2.5)
	case "unit":
		known := 0
		for _, text := range f.texts {
			if _, ok := units.Find(text); ok {
				known++
			}
		}
		return float64(known) / float64(len(f.texts))
	case "size":
		if f.words > 2 {
			return 0.3
		}
		return 1
	}
	if f.numeric > 0.5 || f.unique() > 0.95 && f.filled > 20 {
		return 0.4
	}
	return 1
}

// tellIdentifier: in a table with a row for each, a column of which every short text has a digit and differs from all others
// may be the identifier, whatever its name.
func tellIdentifier(f features, t target) float64 {
	key := t.table == "transports" && t.name() == "transport_id" || t.table == "events" && t.name() == "event_id" || t.table == "devices" && t.name() == "device_id"
	if key && f.filled >= leastRows && f.unique() == 1 && f.words == 1 && f.filled == len(f.cells) && f.points+f.commas == 0 && len(f.forms) == 0 && withDigits(f) == 1 {
		return 1
	}
	return 0
}

// leastRows is how many rows it takes for values to speak.
const leastRows = 8

// withDigits is the share of the texts with a digit.
func withDigits(f features) float64 {
	n := 0
	for _, text := range f.texts {
		if strings.ContainsFunc(text, unicode.IsDigit) {
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(f.texts)))
}

// fitIdentifier wants texts of a word, with a digit, and of transports and events one for each row.
func fitIdentifier(f features, t target) float64 {
	if f.words > 2 || f.points+f.commas > 0 || !strings.ContainsFunc(f.texts[0], unicode.IsDigit) {
		return 0.2
	}
	key := t.table == "transports" || t.name() == "event_id"
	switch {
	case key && f.unique() < 0.8:
		return 0.3
	case !key && f.filled > 8 && len(f.texts) <= 2:
		return 0.5
	}
	return 1
}

// fitCode says how many of few texts are known; long words tell more than letters and digits.
func fitCode(f features, t target) (fit, telling float64) {
	if !f.few() && f.filled > len(f.texts) || len(f.texts) > mostCodes {
		return 0, 0
	}
	codes := codesOf(t.table, t.column, f.texts)
	different := map[string]bool{}
	long := 0
	for text, code := range codes {
		different[code] = true
		if len(text) > 2 && !isNumber(text) {
			long++
		}
	}
	share := float64(len(codes)) / float64(len(f.texts))
	telling = float64(long) / float64(len(f.texts))
	if len(different) < 2 || share < 0.5 {
		telling = 0
	}
	if len(codes) == 0 && (f.numeric > 0.5 || len(f.forms) > 0) {
		return 0, 0
	}
	return codesFloor + (1-codesFloor)*share, telling
}

func fitFlag(f features, t target) float64 {
	if len(f.texts) > 2 || len(codesOf(t.table, t.column, f.texts)) < len(f.texts) {
		return 0
	}
	return 1
}

func fitTime(f features, t target) float64 {
	p, ok := f.part()
	switch {
	case !ok:
		return 0
	case t.column.Kind == records.Date && p == dateOnly, t.column.Kind == records.Time && p == whole:
		return 1
	case p == dateOnly, p == whole:
		return 0.7
	}
	return 0
}

// fitNumber says how many cells are numbers that some unit brings into the target's range.
func fitNumber(f features, t target) (fit, telling float64) {
	switch t.name() {
	case "gestation":
		if f.spoken > 0.8 {
			return 1, 0.8
		}
	case "birth_weight", "weight":
		if f.pounds > 0.8 {
			return 1, 0.5
		}
	}
	share := f.numeric
	unit := f.unit
	if f.cellUnit != "" {
		share, unit = 1, f.cellUnit
	}
	if share < 0.8 {
		return 0, 0
	}
	if t.column.Unit == "" || t.column.Unit == records.ByQuantity || t.column.Unit == records.ByCondition {
		return share, 0
	}
	if unit != "" {
		c, err := units.Between(unit, t.column.Unit)
		if err != nil {
			return 0, 0
		}
		return share * inRange(f, c, t.column.Range), 0
	}
	best := 0.0
	for _, u := range unitChoices(t.column) {
		if c, err := units.Between(u, t.column.Unit); err == nil {
			best = max(best, inRange(f, c, t.column.Range))
		}
	}
	return share * best, 0
}

func inRange(f features, c units.Conversion, r *records.Range) float64 {
	if r == nil || len(f.numbers) == 0 {
		return 1
	}
	return f.inside(c, r.Min, r.Max)
}
