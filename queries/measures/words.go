package measures

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Digits is how many decimals of a value are worth printing when it rests on n members: none that the size cannot carry.
func (d Definition) Digits(n int) int {
	switch d.Unit {
	case "min", "L/h":
		return 0
	case "1":
		return 2
	case "/h":
		return 1
	}
	switch {
	case d.Counts == "devices", d.Counts == "rows": // few devices are many hours, and rows are many
		return 2
	case d.Interval == "none": // a share of time is finer than a share of transports
		return 1
	}
	if n >= 100 { // one of a hundred is a whole per cent
		return 1
	}
	return 0
}

// Text prints a number of the measure without its unit; nil and NaN are an empty text.
func (d Definition) Text(v *float64, n int) string {
	if v == nil || math.IsNaN(*v) {
		return ""
	}
	return fixed(*v, d.Digits(n))
}

// fixed prints v with so many decimals, and never a negative zero.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if back, err := strconv.ParseFloat(text, 64); err == nil && back == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return text
}

// UnitWords is the unit as it follows a number in a sentence, with the space before it: " min", " %", " per 100".
func (d Definition) UnitWords() string { return unitWords(d.Unit) }

func unitWords(unit string) string {
	switch unit {
	case "1":
		return ""
	case "/100":
		return " per 100"
	case "/h":
		return " per hour"
	case "/1000 h":
		return " per 1000 h"
	default:
		return " " + unit
	}
}

// IntervalText prints "0.1–24", or nothing where a limit does not exist.
func (d Definition) IntervalText(r Row) string {
	if r.Low == nil || r.High == nil {
		return ""
	}
	return d.Text(r.Low, r.N) + "–" + d.Text(r.High, r.N)
}

// ValueText is a row in words: "128 min (96 % interval 110–140, n = 41)", or "no data".
func (d Definition) ValueText(r Row) string {
	if r.Value == nil {
		return "no data"
	}
	text := d.Text(r.Value, r.N) + d.UnitWords()
	if span := d.IntervalText(r); span != "" {
		return fmt.Sprintf("%s (%s interval %s, n = %d)", text, coverageText(r), span, r.N)
	}
	return fmt.Sprintf("%s (n = %d)", text, r.N)
}

func coverageText(r Row) string {
	if r.Coverage == nil {
		return "95 %"
	}
	return fixed(100**r.Coverage, 0) + " %"
}

// Capital begins a text with a capital letter. One whose first word has its own capitals ("pH") and one that begins with a single
// small letter ("p chart") keep theirs.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	word, _, _ := strings.Cut(text, " ")
	if size == 0 || len(text) > size && (text[size] == ' ' || strings.HasPrefix(text[size:], "′")) || strings.ToLower(word) != word {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// MonthWords turns "2026-03" into "March 2026"; another text comes back as it is.
func MonthWords(month string) string {
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	return t.Format("January 2006")
}

// MonthBefore is the month before "2026-03": "2026-02".
func MonthBefore(month string) (string, error) {
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return "", fmt.Errorf("month %q: expected YYYY-MM, such as 2026-03", month)
	}
	return t.AddDate(0, -1, 0).Format("2006-01"), nil
}

// counted prints "1 transport" or "3 transports": every word of Definition.Counts ends in s in the plural alone.
func counted(n int, things string) string {
	if n == 1 {
		things = strings.TrimSuffix(things, "s")
	}
	return fmt.Sprintf("%d %s", n, things)
}
