package draft

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tripwake/pipeline/units"
)

// features are what the sampled cells of one column, or of a date and a clock side by side, tell.
type features struct {
	headers  []string // as they stand in the file; two where a clock needs its date
	concepts []string // of the name, without its unit
	wider    []string // the same and what the unit measures: "Start PSI" is a start pressure
	unit     string   // that the header carries; empty for none
	cells    []string // as they stand, row by row
	filled   int
	texts    []string       // distinct texts, the most frequent first, then by text
	count    map[string]int // of each distinct text
	missing  []string       // texts that stand for an empty cell
	forms    []form
	numbers  []float64 // sorted
	numeric  float64   // share of the filled cells that are numbers
	commas   int       // numbers with a decimal comma
	points   int       // numbers with a decimal point
	spoken   float64   // share of cells such as 27+3, 27w3d
	pounds   float64   // share of cells such as 5 lb 3 oz
	cellUnit string    // the unit that every cell carries, such as `3.2 kg`
	words    float64   // mean number of words of a cell
}

var (
	numberForm = regexp.MustCompile(`^[+-]?\d+([.,]\d+)?$`)
	spokenForm = regexp.MustCompile(`(?i)^\d{2}\s*(\+|/|w|wk|w,|weeks?|sem|\s)\s*[0-6]\s*(d|days?|/7)?$`)
	withUnit   = regexp.MustCompile(`^[+-]?\d+(?:[.,]\d+)?\s*([^\d\s.,].*)$`)
)

// measured are the concepts of the dimensions of units.
var measured = map[string]string{"pressure": "pressure", "temperature": "temperature", "time": "duration", "mass": "weight", "flow": "flow"}

func isNumber(text string) bool { return numberForm.MatchString(text) }

// look tells the features of one column of a group of samples; blanks are texts that stand for an empty cell.
func look(header string, cells []string, blanks map[string]bool) features {
	name, unit := parted(header)
	f := features{headers: []string{header}, concepts: meaning(name), unit: unit, cells: cells, count: map[string]int{}}
	if u, ok := units.Find(unit); ok && unit != "" {
		f.wider = slices.Clone(f.concepts)
		if concept := measured[u.Dimension]; concept != "" && !slices.Contains(f.wider, concept) {
			f.wider = append(f.wider, concept)
		}
	}
	if len(f.concepts) == 0 {
		f.concepts = []string{strings.ToLower(strings.TrimSpace(header))}
	}
	for _, cell := range cells {
		if blanks[strings.ToLower(cell)] && !slices.Contains(f.missing, cell) {
			f.missing = append(f.missing, cell)
		}
		if cell == "" || blanks[strings.ToLower(cell)] {
			continue
		}
		f.filled++
		if f.count[cell]++; f.count[cell] == 1 {
			f.texts = append(f.texts, cell)
		}
	}
	slices.SortFunc(f.texts, func(a, b string) int {
		if f.count[a] != f.count[b] {
			return f.count[b] - f.count[a]
		}
		return strings.Compare(a, b)
	})
	f.forms = fitting(f.texts)
	f.measure()
	return f
}

// measure tells what the texts are as numbers.
func (f *features) measure() {
	numeric, spoken, pounds, words := 0, 0, 0, 0
	unitsSeen := map[string]int{}
	for _, text := range f.texts {
		n := f.count[text]
		words += n * len(strings.Fields(text))
		switch {
		case isNumber(text):
			numeric += n
			value, _ := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
			f.numbers = append(f.numbers, value)
			f.commas += n * strings.Count(text, ",")
			f.points += n * strings.Count(text, ".")
		case spokenForm.MatchString(text):
			spoken += n
		case units.PoundsAndOunces.Matches(text):
			pounds += n
		default:
			if m := withUnit.FindStringSubmatch(text); m != nil {
				unitsSeen[m[1]] += n
			}
		}
	}
	slices.Sort(f.numbers)
	all := math.Max(1, float64(f.filled))
	f.numeric, f.spoken, f.pounds, f.words = float64(numeric)/all, float64(spoken)/all, float64(pounds)/all, float64(words)/all
	for unit, n := range unitsSeen {
		if _, known := units.Find(unit); known && float64(n) > 0.9*all {
			f.cellUnit = unit
		}
	}
}

// median of the distinct numbers; NaN where there is none.
func (f features) median() float64 {
	if len(f.numbers) == 0 {
		return math.NaN()
	}
	return f.numbers[len(f.numbers)/2]
}

// inside is the share of the numbers, after a conversion, that lie in a range.
func (f features) inside(c units.Conversion, lo, hi float64) float64 {
	n := 0
	for _, v := range f.numbers {
		if v = c.Apply(v); v >= lo-1e-9 && v <= hi+1e-9 {
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(f.numbers)))
}

// unique is the share of the filled cells that differ from all others.
func (f features) unique() float64 { return float64(len(f.texts)) / math.Max(1, float64(f.filled)) }

func (f features) part() (part, bool) {
	if len(f.forms) == 0 {
		return 0, false
	}
	return f.forms[0].part, true
}

// few says that the column has few distinct short texts, which may be shown to people: codes, not names or identifiers.
func (f features) few() bool {
	if len(f.texts) > mostCodes || len(f.texts) == 0 || f.filled < 2*len(f.texts) && f.filled > 8 {
		return false
	}
	return !slices.ContainsFunc(f.texts, func(text string) bool { return len(text) > longestCode })
}

// Bounds on what may be a list of codes.
const (
	mostCodes   = 40
	longestCode = 40
)
