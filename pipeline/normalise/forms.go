package normalise

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
)

// writing is one way to write a moment, as a layout names it: what the whole text must match, and the SQL of the moment that
// such a text gives. A local one lacks its offset; a universal one has it, or counts from a moment in UTC.
type writing struct {
	pattern   string
	half      bool                  // the text has a half of the day
	local     func(t string) string // nil where the text gives the moment in UTC
	universal func(t string) string // nil where it does not
	loose     func(t string) string // a moment for all texts that match and some that do not; nil where there is none so quick
}

// writings are those of a column's time formats.
func writings(formats []string) []writing {
	var all []writing
	for _, f := range formats {
		switch f {
		case layout.ISO:
		case layout.Excel:
			all = append(all, writing{pattern: serialForm, local: serialSQL})
		case layout.Epoch:
			all = append(all, writing{pattern: epochForm, universal: func(t string) string { return sinceEpochSQL(t, 1e6) }})
		case layout.EpochMillis:
			all = append(all, writing{pattern: epochMillisForm, universal: func(t string) string { return sinceEpochSQL(t, 1e3) }})
		default:
			all = append(all, newStrptime(f).writing())
		}
	}
	return all
}

// localTimeSQL is the local timestamp of a text in one of the formats, NULL for any other and for one that two formats read
// differently. Without formats, and among them under the word iso, the ISO forms are read; cast is the column that holds what the
// engine alone makes of such a text, empty where there is none.
func localTimeSQL(t, cast string, formats []string) string {
	var found []string
	if isISO(formats) {
		found = append(found, localSQL(t, cast))
	}
	for _, w := range writings(formats) {
		if w.local != nil {
			found = append(found, w.guarded(t, w.local))
		}
	}
	return agreedSQL(found)
}

// universalTimeSQL is the UTC timestamp of a text in one of the formats that needs no zone, NULL for any other.
func universalTimeSQL(t string, formats []string) string {
	var found []string
	if isISO(formats) {
		found = append(found, universalSQL(t))
	}
	for _, w := range writings(formats) {
		if w.universal != nil {
			found = append(found, w.guarded(t, w.universal))
		}
	}
	return agreedSQL(found)
}

// dateIn is the date of a text in one of the formats: one with a time of day must be midnight's.
func dateIn(t string, formats []string) string {
	var found []string
	if isISO(formats) {
		found = append(found, dateSQL(t))
	}
	for _, w := range writings(formats) {
		if w.local != nil {
			at := w.guarded(t, w.local)
			found = append(found, fmt.Sprintf("case when %[1]s = date_trunc('day', %[1]s) then (%[1]s)::date end", at))
		}
	}
	if len(found) == 0 {
		return "null::date"
	}
	return agreedSQL(found)
}

func isISO(formats []string) bool { return len(formats) == 0 || slices.Contains(formats, layout.ISO) }

func (w writing) guarded(t string, value func(string) string) string {
	if w.half {
		t = halvesSQL(t)
	}
	return fmt.Sprintf("case when regexp_full_match(%s, %s) then %s end", t, store.Literal(w.pattern), value(t))
}

// agreedSQL is the one value that expressions give, NULL where two differ: a date that is written in two ways at once, 03/04,
// is refused and not guessed.
func agreedSQL(values []string) string {
	switch len(values) {
	case 0:
		return "null::timestamp"
	case 1:
		return values[0]
	}
	all := strings.Join(values, ", ")
	return fmt.Sprintf("case when least(%[1]s) = greatest(%[1]s) then least(%[1]s) end", all)
}

// Serial days count as a spreadsheet does (ECMA-376 part 1, 18.17.4.1, 1900 date system): 1 is 1900-01-01, and 60 is a
// 29 February that never was, so that days from 61 on are counted from 1899-12-30 and those before are refused. They are
// rounded to seconds: five decimals, as many as a cell shows, are not quite one.
const (
	serialForm  = `\d{2,7}([.,]\d{1,16})?`
	firstSerial = 61
	lastSerial  = 2958465 // 9999-12-31
	serialStart = -2209161600
)

func serialSQL(t string) string {
	days := fmt.Sprintf("replace(%s, ',', '.')::double", t)
	return fmt.Sprintf("case when %[1]s >= %[2]d and %[1]s < %[3]d then make_timestamp((round(%[1]s * 86400) + %[4]d)::bigint * 1000000) end",
		days, firstSerial, lastSerial+1, serialStart)
}

// Moments since 1970-01-01T00:00:00Z. Seconds have nine or ten digits from 1973 to 2286, milliseconds twelve or thirteen:
// one is never taken for the other.
const (
	epochForm       = `\d{9,10}([.,]\d{1,9})?`
	epochMillisForm = `\d{12,13}([.,]\d{1,6})?`
)

func sinceEpochSQL(t string, microseconds float64) string {
	return fmt.Sprintf("make_timestamp(round(replace(%s, ',', '.')::double * %.0f)::bigint)", t, microseconds)
}

// strptime is a format of tokens, as a pattern for the whole text and as what the engine is told.
type strptime struct {
	pattern, format string
	offset, half    bool
	checks          []func(moment, t string) string
}

var (
	token  = regexp.MustCompile(`%-?[A-Za-z%]`)
	digits = map[byte]bool{'Y': true, 'y': true, 'm': true, 'd': true, 'j': true, 'H': true, 'I': true, 'M': true, 'S': true, 'f': true, 'g': true, 'n': true}
)

// newStrptime reads a format of a layout, whose tokens are known. Numbers may lack a leading zero unless another follows or
// goes before at once, where only their width parts them.
func newStrptime(format string) strptime {
	var s strptime
	spans := token.FindAllStringIndex(format, -1)
	at := 0
	for i, span := range spans {
		s.literal(format[at:span[0]])
		letter := format[span[1]-1]
		tight := digits[letter] && (i > 0 && spans[i-1][1] == span[0] && digits[format[span[0]-1]] ||
			i+1 < len(spans) && spans[i+1][0] == span[1] && digits[format[spans[i+1][1]-1]])
		s.take(letter, tight)
		at = span[1]
	}
	s.literal(format[at:])
	if s.half {
		s.pattern = "(?i)" + s.pattern
	}
	return s
}

func (s *strptime) literal(text string) {
	s.pattern += regexp.QuoteMeta(text)
	s.format += strings.ReplaceAll(text, "%", "%%")
}

// tokenForms are the texts of each token, without and with a leading zero.
var tokenForms = map[byte][2]string{
	'Y': {`\d{4}`, `\d{4}`}, 'y': {`\d{2}`, `\d{2}`},
	'm': {`(?:0?[1-9]|1[0-2])`, `(?:0[1-9]|1[0-2])`}, 'd': {`(?:0?[1-9]|[12]\d|3[01])`, `(?:0[1-9]|[12]\d|3[01])`},
	'j': {`(\d{1,3})`, `(\d{3})`}, 'H': {`(?:[01]?\d|2[0-3])`, `(?:[01]\d|2[0-3])`}, 'I': {`(?:0?[1-9]|1[0-2])`, `(?:0[1-9]|1[0-2])`},
	'M': {`[0-5]\d`, `[0-5]\d`}, 'S': {`[0-5]\d`, `[0-5]\d`}, 'f': {`\d{1,6}`, `\d{6}`}, 'g': {`\d{1,3}`, `\d{3}`}, 'n': {`\d{1,9}`, `\d{9}`},
	'b': {`(?i:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)`}, 'B': {`(?i:january|february|march|april|may|june|july|august|september|october|november|december)`},
	'a': {`(?i:mon|tue|wed|thu|fri|sat|sun)`}, 'A': {`(?i:monday|tuesday|wednesday|thursday|friday|saturday|sunday)`},
	'p': {`[ap]m`}, 'z': {offsetForm}, '%': {`%`},
}

func (s *strptime) take(letter byte, tight bool) {
	forms := tokenForms[letter]
	form := forms[0]
	if tight {
		form = forms[1]
	}
	switch letter {
	case 'z':
		// An offset ends its text; the layout sees to that.
		s.offset, s.format = true, strings.TrimSuffix(s.format, " ")
		s.pattern = strings.TrimSuffix(s.pattern, " ")
	case 'p':
		s.half = true
	}
	if part, ok := parts[letter]; ok {
		found := store.Literal("(?i)^" + s.pattern + "(" + ungrouped(form) + ")")
		s.checks = append(s.checks, func(moment, t string) string {
			return fmt.Sprintf("%s = regexp_extract(%s, %s, 1)%s", part.of(moment), lowered(letter, t), found, part.as)
		})
	}
	s.pattern += ungrouped(form)
	if letter == 'n' {
		letter = 'f' // the engine's %n makes another type; its %f takes as many digits
	}
	if letter != 'z' {
		s.format += "%" + string(letter)
	}
}

// ungrouped makes every group of a pattern one that captures nothing.
func ungrouped(pattern string) string { return captures.ReplaceAllString(pattern, "(?:$1") }

var captures = regexp.MustCompile(`\(([^?])`)

// parts are what the engine takes no notice of in a text, and must be the moment's own: it reads day 366 of a common year as
// the next New Year, and lets a Monday be any date.
var parts = map[byte]struct {
	of func(moment string) string
	as string // the type of the text
}{
	'j': {func(moment string) string { return "dayofyear(" + moment + ")" }, "::bigint"},
	'a': {func(moment string) string { return "lower(strftime(" + moment + ", '%a'))" }, ""},
	'A': {func(moment string) string { return "lower(strftime(" + moment + ", '%A'))" }, ""},
}

func lowered(letter byte, t string) string {
	if letter == 'j' {
		return t
	}
	return "lower(" + t + ")"
}

func (s strptime) writing() writing {
	w := writing{pattern: s.pattern, half: s.half, local: s.momentSQL}
	if !s.half && !s.offset {
		w.loose = func(t string) string { return fmt.Sprintf("try_strptime(%s, %s)", t, store.Literal(s.format)) }
	}
	if s.offset {
		w.local = nil
		w.universal = func(t string) string {
			bare := fmt.Sprintf(`regexp_replace(%s, '%s$', '')`, t, offsetForm)
			return fmt.Sprintf("(%s - to_minutes(%s))", s.momentSQL(bare), offsetMinutesSQL(t))
		}
	}
	return w
}

func (s strptime) momentSQL(t string) string {
	moment := fmt.Sprintf("try_strptime(%s, %s)", t, store.Literal(s.format))
	var conditions []string
	for _, c := range s.checks {
		conditions = append(conditions, c(moment, t))
	}
	if len(conditions) == 0 {
		return moment
	}
	return fmt.Sprintf("case when %s then %s end", strings.Join(conditions, " and "), moment)
}

// halvesSQL writes the halves of the day as the engine reads them: a.m. becomes am, and a narrow or no-break space, which some
// programs put before it, a blank.
func halvesSQL(t string) string {
	return fmt.Sprintf(`regexp_replace(translate(%s, '%s', '  '), '(?i)([ap])\.\s?m\b\.?', '\1m')`, t, "\u202f\u00a0")
}
