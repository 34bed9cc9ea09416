package normalise

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// asked is one expression worked out for one text; ok is false where it is NULL.
func asked(t *testing.T, st *store.Store, expression, text string) (value string, ok bool) {
	t.Helper()
	var found *string
	query := "select (" + expression + ")::varchar from (select " + store.Literal(text) + " as t)"
	if err := st.DB().QueryRow(query).Scan(&found); err != nil {
		t.Fatalf("%q: %v in %s", text, err, query)
	}
	if found == nil {
		return "", false
	}
	return *found, true
}

// isText says that a cell can hold the text: it is UTF-8 without zero bytes, and no blanks stand around it.
func isText(text string) bool {
	return utf8.ValidString(text) && !strings.ContainsRune(text, 0) && text != "" && text == strings.Trim(text, " \t\u00a0") && len(text) < 200
}

// slowNumber is what a number should be, character by character: a sign, digits whose thousands one mark parts, a decimal sign,
// digits; or digits with an exponent.
func slowNumber(text string, n numbers) (float64, bool) {
	decimal, other := ".", ","
	if n.comma {
		decimal, other = ",", "."
	}
	digits := strings.TrimLeft(text, "+-")
	if len(text)-len(digits) > 1 {
		return 0, false
	}
	whole, fraction, parted := strings.Cut(digits, decimal)
	mark := ""
	for _, m := range append([]string{other}, blankMarks...) {
		if strings.Contains(whole, m) {
			mark = m
			break
		}
	}
	if mark == "" || strings.Trim(text, lineEnds) != text {
		return plainNumber(text, decimal, other)
	}
	groups := strings.Split(whole, mark)
	if !slowDigits(groups[0]) || len(groups[0]) > 3 || groups[0][0] == '0' || parted && !slowDigits(fraction) {
		return 0, false
	}
	for _, g := range groups[1:] {
		if len(g) != 3 || !slowDigits(g) {
			return 0, false
		}
	}
	if mark == other && len(groups) == 2 && !parted && !n.grouped {
		return 0, false
	}
	value, err := strconv.ParseFloat(text[:len(text)-len(digits)]+strings.Join(groups, "")+"."+fraction, 64)
	return value, err == nil
}

func slowDigits(text string) bool {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return false
		}
	}
	return text != ""
}

const lineEnds = " \t\n\v\f\r"

var plain = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$`)

// plainNumber reads a number without marks; line ends and the like around it do no harm.
func plainNumber(text, decimal, other string) (float64, bool) {
	text = strings.Trim(text, lineEnds)
	if decimal == "," {
		if strings.Contains(text, other) {
			return 0, false
		}
		text = strings.ReplaceAll(text, ",", ".")
	}
	if !plain.MatchString(text) {
		return 0, false
	}
	value, err := strconv.ParseFloat(text, 64)
	return value, err == nil && !math.IsInf(value, 0)
}

// FuzzNumbers holds what the engine makes of the text of a number against the slow reading, whatever the signs of the file.
func FuzzNumbers(f *testing.F) {
	for _, text := range []string{"3000", "36.5", "36,5", "1,234.5", "1.234,5", "1 234", "1\u00a0234,5", "1'234'567", "1,234", "1.234", "nan", "inf", "1_000", "0x10", "1e5", "1e999", ".5", "5.", "+1", "-1 234", "٣", "1e", "--1", "1,2,3", "0,123", "½", "1\n2", "1e+5", "+ 1", "\v1"} {
		for flags := range uint8(4) {
			f.Add(text, flags)
		}
	}
	st := engine(f)
	f.Fuzz(func(t *testing.T, text string, flags uint8) {
		n := numbers{comma: flags&1 != 0, grouped: flags&2 != 0}
		if !isText(text) {
			return
		}
		got, ok := asked(t, st, numberTextSQL("t", "", n), text)
		want, readable := slowNumber(text, n)
		if ok != readable {
			t.Fatalf("%q (%+v): the engine reads %q (%v), the slow reading %v (%v)", text, n, got, ok, want, readable)
		}
		if value, err := strconv.ParseFloat(got, 64); ok && (err != nil || math.Abs(value-want) > 1e-12*math.Abs(want)) {
			t.Fatalf("%q (%+v): the engine reads %s, the slow reading %v", text, n, got, want)
		}
	})
}

// FuzzFolds holds the engine's folding of units against Go's: a spelling must be the same unit in both.
func FuzzFolds(f *testing.F) {
	for _, text := range []string{"cm H2O", "°F", "µg", "μg", "m³", "K", "\u212a", "L/Min", "İ", "ẞ", "mm\u00a0Hg"} {
		f.Add(text)
	}
	st := engine(f)
	f.Fuzz(func(t *testing.T, text string) {
		if !isText(text) {
			return
		}
		got, _ := asked(t, st, units.FoldSQL("t"), text)
		_, here := units.Find(text)
		_, there := units.Find(got)
		if here != there || here && got != units.Fold(text) {
			t.Fatalf("%q folds to %q in the engine, to %q in Go", text, got, units.Fold(text))
		}
	})
}

// slowTimes are ways to write times: the formats of a layout, Go's own for the same, and what Go is laxer in.
var slowTimes = []struct {
	formats []string
	layouts []string
	refused string // characters that such a text cannot hold: Go reads a fraction of seconds that the layout does not have
}{
	{nil, []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"}, ","},
	{[]string{"%m/%d/%Y %H:%M"}, []string{"1/2/2006 15:04"}, ".,"},
	{[]string{"%d.%m.%Y %H:%M"}, []string{"2.1.2006 15:04"}, ","},
	{[]string{"%m/%d/%Y %I:%M:%S %p"}, []string{"1/2/2006 3:04:05 PM"}, ".,"},
	{[]string{"%Y%m%d %H%M%S"}, []string{"20060102 150405"}, ".,"},
	{[]string{"%d %b %Y %H:%M"}, []string{"2 Jan 2006 15:04"}, ".,"},
	{[]string{"%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"}, []string{"2/1/2006 15:04", "1/2/2006 15:04"}, ".,"},
}

// slowTime is what a text should be: the one moment that Go reads in any of the layouts, none where they differ.
func slowTime(text string, layouts []string, refused string) (string, bool) {
	var found []time.Time
	for _, l := range layouts {
		candidate := text
		if strings.Contains(l, "PM") {
			candidate = strings.ToUpper(halfOfDay.ReplaceAllString(strings.NewReplacer("\u202f", " ", "\u00a0", " ").Replace(text), "${1}m"))
		}
		at, err := time.Parse(l, candidate)
		if err != nil || tooFine.MatchString(candidate) || strings.Contains(candidate, "  ") || strings.ContainsAny(candidate, refused) || strings.HasPrefix(l, "20060102") && len(candidate) != len(l) {
			continue
		}
		if strings.Contains(l, "PM") && zeroHour.MatchString(candidate) {
			continue
		}
		found = append(found, at)
	}
	for _, at := range found {
		if !at.Equal(found[0]) {
			return "", false
		}
	}
	if len(found) == 0 {
		return "", false
	}
	return found[0].Format("2006-01-02 15:04:05.999999"), true
}

var (
	halfOfDay = regexp.MustCompile(`(?i)([ap])\.\s?m\b\.?`)
	zeroHour  = regexp.MustCompile(`\s0?0:`)   // there is no such hour before and after noon
	tooFine   = regexp.MustCompile(`\.\d{10}`) // finer than a nanosecond, which Go takes
)

// FuzzTimes holds what the engine makes of a local time against Go's own reading.
func FuzzTimes(f *testing.F) {
	for _, text := range []string{"2025-03-05 14:07", "2025-03-05T14:07:09", "3/5/2025 9:07", "05.03.2025 14:07", "3/5/2025 12:00:00 AM", "3/5/2025 1:02:03 p.m.", "20250305 140709", "5 Mar 2025 14:07",
		"03/04/2025 14:07", "2024-02-29 00:00", "2025-02-29 00:00", "2025-03-05 24:00", "0000-01-01 00:00", "9999-12-31 23:59", "3/5/2025 0:02:03 AM", "2025-03-05 14:07:09.5", "epoch", "infinity"} {
		for form := range slowTimes {
			f.Add(text, uint8(form))
		}
	}
	st := engine(f)
	f.Fuzz(func(t *testing.T, text string, form uint8) {
		if !isText(text) {
			return
		}
		c := slowTimes[int(form)%len(slowTimes)]
		got, ok := asked(t, st, localTimeSQL("t", "", c.formats), text)
		want, readable := slowTime(text, c.layouts, c.refused)
		if strings.Contains(text, "24:00") && c.formats == nil {
			return // ISO 8601's end of a day, which Go does not read
		}
		if strings.HasPrefix(want, "0000-") {
			return // the engine has no year 0 after Christ
		}
		if ok != readable || ok && got != want {
			t.Fatalf("%q in %q: the engine reads %q (%v), Go %q (%v)", text, c.formats, got, ok, want, readable)
		}
	})
}
