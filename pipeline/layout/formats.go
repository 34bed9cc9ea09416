package layout

import (
	"fmt"
	"slices"
	"strings"
)

// TimeWords are the words that a time format may be instead of strptime tokens: days since the end of 1899 as a spreadsheet
// counts them, seconds and milliseconds since 1970 in UTC, and the ISO forms that are read without a layout.
var TimeWords = []string{Excel, Epoch, EpochMillis, ISO}

// The words of TimeWords.
const (
	Excel       = "excel"
	Epoch       = "epoch"
	EpochMillis = "epoch_ms"
	ISO         = "iso"
)

// tokens are the strptime tokens that a format may hold, with the part of a moment that each gives.
var tokens = map[string]part{
	"%Y": year, "%y": year, "%-y": year, "%m": month, "%-m": month, "%b": month, "%B": month, "%d": day, "%-d": day,
	"%j": month | day, "%-j": month | day, "%H": hour, "%-H": hour, "%I": hour12, "%-I": hour12, "%p": half, "%M": minute, "%-M": minute,
	"%S": 0, "%-S": 0, "%f": 0, "%g": 0, "%n": 0, "%z": offset, "%a": 0, "%A": 0, "%%": 0,
}

// shorthands are tokens that stand for others.
var shorthands = map[string]string{"%T": "%H:%M:%S", "%R": "%H:%M", "%F": "%Y-%m-%d", "%D": "%m/%d/%y", "%e": "%-d", "%k": "%-H",
	"%l": "%-I", "%h": "%b", "%r": "%I:%M:%S %p"}

type part int

const (
	year part = 1 << iota
	month
	day
	hour
	hour12
	half
	minute
	offset
)

const wholeDate = year | month | day

// HasHour says that a time format gives a time of day, HasOffset that it gives the offset to UTC.
func HasHour(format string) bool {
	switch format {
	case Excel, Epoch, EpochMillis, ISO:
		return true
	}
	return partsOf(format)&(hour|hour12) != 0
}

// HasOffset says that times of a format carry their offset to UTC, or need none, so that no zone is asked for.
func HasOffset(format string) bool {
	return format == Epoch || format == EpochMillis || partsOf(format)&offset != 0
}

func partsOf(format string) (has part) {
	for _, t := range tokensOf(format) {
		has |= tokens[t]
	}
	return has
}

// tokensOf lists the tokens of a format in order; the last is broken off where the format ends in a percent sign.
func tokensOf(format string) (all []string) {
	for i := 0; i < len(format); i++ {
		if format[i] != '%' {
			continue
		}
		end := i + 2
		if strings.HasPrefix(format[i:], "%-") {
			end++
		}
		end = min(end, len(format))
		all, i = append(all, format[i:end]), end-1
	}
	return all
}

// checkedFormat expands the shorthands of a format, and refuses one that does not tell a date.
func checkedFormat(format string) (string, error) {
	if slices.Contains(TimeWords, format) {
		return format, nil
	}
	for short, long := range shorthands {
		format = strings.ReplaceAll(format, short, long)
	}
	for _, t := range tokensOf(format) {
		if _, ok := tokens[t]; !ok {
			return "", fmt.Errorf("%q is no token of a time format; known are %s", t, knownTokens())
		}
	}
	if has := partsOf(format); has == 0 {
		return "", fmt.Errorf("%q is no time format; expected strptime tokens such as %%m/%%d/%%Y %%H:%%M, or one of %s", format, strings.Join(TimeWords, ", "))
	} else if has&wholeDate != wholeDate {
		return "", fmt.Errorf("%q gives no whole date; expected year, month and day, such as %%m/%%d/%%Y %%H:%%M", format)
	} else if has&hour12 != 0 && has&half == 0 {
		return "", fmt.Errorf("%q has hours to twelve (%%I) without %%p, which tells morning from afternoon", format)
	} else if at := strings.Index(format, "%z"); at >= 0 && at+2 < len(format) {
		return "", fmt.Errorf("%q has the offset (%%z) before something else; expected it at the end", format)
	} else if has&(hour|hour12) != 0 && has&minute == 0 {
		return "", fmt.Errorf("%q has hours without minutes (%%M)", format)
	}
	return format, nil
}

func knownTokens() string {
	var all []string
	for t := range tokens {
		if !strings.HasPrefix(t, "%-") {
			all = append(all, t)
		}
	}
	slices.Sort(all)
	return strings.Join(all, " ")
}
