package draft

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripwake/pipeline/layout"
)

// What a text tells of a moment.
type part int

const (
	dateOnly part = iota
	clockOnly
	whole
)

// form is one way to write a moment: the pattern of its texts and its strptime format. A date whose first two numbers may be
// day and month in either order has two forms with one pattern.
type form struct {
	format string
	part   part
	match  *regexp.Regexp
	goForm string // Go's layout of it, to read what a sample says; empty for counts of days or seconds
}

// dateForms and clockForms make every form: dates alone, clocks alone, and both parted by a blank, a T or a comma.
var dateForms = []struct{ format, pattern, goForm string }{
	{"%Y-%m-%d", `\d{4}-\d{2}-\d{2}`, "2006-01-02"},
	{"%Y/%m/%d", `\d{4}/\d{2}/\d{2}`, "2006/01/02"},
	{"%Y%m%d", `(19|20)\d{6}`, "20060102"},
	{"%d.%m.%Y", `\d{1,2}\.\d{1,2}\.\d{4}`, "2.1.2006"},
	{"%d.%m.%y", `\d{1,2}\.\d{1,2}\.\d{2}`, "2.1.06"},
	{"%d/%m/%Y", `\d{1,2}/\d{1,2}/\d{4}`, "2/1/2006"},
	{"%m/%d/%Y", `\d{1,2}/\d{1,2}/\d{4}`, "1/2/2006"},
	{"%d/%m/%y", `\d{1,2}/\d{1,2}/\d{2}`, "2/1/06"},
	{"%m/%d/%y", `\d{1,2}/\d{1,2}/\d{2}`, "1/2/06"},
	{"%d-%m-%Y", `\d{1,2}-\d{1,2}-\d{4}`, "2-1-2006"},
	{"%m-%d-%Y", `\d{1,2}-\d{1,2}-\d{4}`, "1-2-2006"},
	{"%d-%b-%Y", `\d{1,2}-[A-Za-z]{3}-\d{4}`, "2-Jan-2006"},
	{"%d-%b-%y", `\d{1,2}-[A-Za-z]{3}-\d{2}`, "2-Jan-06"},
	{"%d %b %Y", `\d{1,2} [A-Za-z]{3} \d{4}`, "2 Jan 2006"},
	{"%b %d, %Y", `[A-Za-z]{3} \d{1,2}, \d{4}`, "Jan 2, 2006"},
	{"%b %d %Y", `[A-Za-z]{3} \d{1,2} \d{4}`, "Jan 2 2006"},
}

var clockForms = []struct{ format, pattern, goForm string }{
	{"%H:%M", `\d{1,2}:\d{2}`, "15:04"},
	{"%H:%M:%S", `\d{1,2}:\d{2}:\d{2}`, "15:04:05"},
	{"%H:%M:%S.%g", `\d{1,2}:\d{2}:\d{2}\.\d{3}`, "15:04:05.000"},
	{"%I:%M %p", `\d{1,2}:\d{2} [AaPp][Mm]`, "3:04 PM"},
	{"%I:%M:%S %p", `\d{1,2}:\d{2}:\d{2} [AaPp][Mm]`, "3:04:05 PM"},
	{"%I:%M%p", `\d{1,2}:\d{2}[AaPp][Mm]`, "3:04PM"},
	{"%Hh%M", `\d{1,2}h\d{2}`, "15h04"},
	{"%H.%M", `\d{1,2}\.\d{2}`, "15.04"},
	{"%H%M", `[0-2]\d[0-5]\d`, "1504"},
	{"%H%M%S", `[0-2]\d[0-5]\d[0-5]\d`, "150405"},
}

var joints = []string{" ", "T", ", ", "  ", ""}

var offsets = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d+)?)?( ?(Z|[+-]\d{2}:?\d{2}))?$`)

var forms = makeForms()

func makeForms() []form {
	all := []form{{layout.ISO, whole, offsets, ""}}
	for _, d := range dateForms {
		all = append(all, form{d.format, dateOnly, anchored(d.pattern), d.goForm})
	}
	for _, c := range clockForms {
		all = append(all, form{c.format, clockOnly, anchored(c.pattern), c.goForm})
	}
	for _, d := range dateForms {
		for _, c := range clockForms {
			for _, j := range joints {
				if j == "" && d.format != "%Y%m%d" {
					continue
				}
				all = append(all, form{d.format + j + c.format, whole, anchored(d.pattern + j + c.pattern), d.goForm + j + c.goForm})
			}
		}
	}
	return all
}

// bySigns are the forms by the signs between their numbers, so that few are tried on a text.
var bySigns = indexForms()

func indexForms() map[string][]form {
	all := map[string][]form{}
	for _, f := range forms {
		if f.format != layout.ISO {
			all[signs(f.goForm)] = append(all[signs(f.goForm)], f)
		}
	}
	return all
}

// signs are what is left of a text without its digits, an "a" for each word.
func signs(text string) string {
	var left []byte
	for i := range len(text) {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
		case c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z':
			if len(left) == 0 || left[len(left)-1] != 'a' {
				left = append(left, 'a')
			}
		default:
			left = append(left, c)
		}
	}
	return string(left)
}

// formsOf lists the forms in which a text can be a moment; the ISO form comes first.
func formsOf(text string) (all []form) {
	if forms[0].fits(text) {
		all = append(all, forms[0])
	}
	for _, f := range bySigns[signs(text)] {
		if f.fits(text) {
			all = append(all, f)
		}
	}
	return all
}

func anchored(pattern string) *regexp.Regexp { return regexp.MustCompile("^" + pattern + "$") }

// fits says that a text can be a moment in this form.
func (f form) fits(text string) bool {
	if len(text) < 4 || len(text) > 40 || !f.match.MatchString(text) {
		return false
	}
	_, ok := f.read(text)
	return ok
}

// read gives the moment of a text, as if it were in UTC.
func (f form) read(text string) (time.Time, bool) {
	if f.goForm == "" {
		return readWord(f.format, text)
	}
	if strings.Contains(f.goForm, "PM") {
		text = strings.NewReplacer("am", "AM", "pm", "PM", "Am", "AM", "Pm", "PM").Replace(text)
	}
	at, err := time.Parse(f.goForm, text)
	return at, err == nil
}

// readWord reads what one of the layout's time words names.
func readWord(word, text string) (time.Time, bool) {
	if word == layout.ISO {
		for _, l := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05", time.RFC3339, "2006-01-02 15:04Z07:00", "2006-01-02 15:04:05Z07:00"} {
			if at, err := time.Parse(l, strings.Replace(text, "T", " ", 1)); err == nil {
				return at, true
			}
		}
		at, err := time.Parse(time.RFC3339, text)
		return at, err == nil
	}
	n, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return time.Time{}, false
	}
	switch word {
	case layout.Excel:
		return time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Add(time.Duration(n * 24 * float64(time.Hour))), true
	case layout.Epoch:
		return time.Unix(int64(n), 0).UTC(), true
	}
	return time.UnixMilli(int64(n)).UTC(), true
}

// The years that records are taken from, for numbers that may count days or seconds.
var (
	earliest = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(2050, 1, 1, 0, 0, 0, 0, time.UTC)
)

// countsTime says which of the layout's words makes moments of this century of all numbers; whole days are dates.
func countsTime(texts []string) (form, bool) {
	for _, word := range []string{layout.EpochMillis, layout.Epoch, layout.Excel} {
		all, fractions := len(texts) > 0, false
		for _, text := range texts {
			at, ok := readWord(word, text)
			all = all && ok && at.After(earliest) && at.Before(latest)
			fractions = fractions || strings.ContainsAny(text, ".,")
		}
		if all && (word != layout.Excel || fractions) {
			return form{format: word, part: whole}, true
		}
	}
	return form{}, false
}

// probed are the texts from which forms are proposed; all texts are then held against those alone.
const probed = 40

// fitting gives the forms that read the most texts, where these are nearly all.
func fitting(texts []string) []form {
	var proposed []form
	for _, text := range texts[:min(len(texts), probed)] {
		for _, f := range formsOf(text) {
			if !slices.ContainsFunc(proposed, func(p form) bool { return p.format == f.format }) {
				proposed = append(proposed, f)
			}
		}
	}
	most, counts := 0, make([]int, len(proposed))
	for i, f := range proposed {
		for _, text := range texts {
			if f.fits(text) {
				counts[i]++
			}
		}
		most = max(most, counts[i])
	}
	if most*10 < len(texts)*8 || most == 0 {
		if f, ok := countsTime(texts); ok {
			return []form{f}
		}
		return nil
	}
	var best []form
	for i, f := range proposed {
		if counts[i] == most {
			best = append(best, f)
		}
	}
	if i := slices.IndexFunc(best, func(f form) bool { return f.format == layout.ISO }); i >= 0 {
		return best[i : i+1]
	}
	return best
}
