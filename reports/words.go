package reports

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// capital begins a text with a capital letter.
func capital(text string) string { return measures.Capital(text) }

// orDash stands for a number that does not exist.
func orDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// joined puts two words into one cell.
func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// headWithUnit is a column's heading with the unit of its numbers.
func headWithUnit(text, unit string) string {
	if unit = axisUnit(unit); unit == "" {
		return text
	}
	return text + ", " + unit
}

// words turns a code of the records into words: "fixed_wing" into "fixed wing". Names that a team gave stay as they are.
func words(code string) string { return queries.Words(code) }

// slug makes the part of an id or fragment from a name: small letters and hyphens.
func slug(name string) string {
	return strings.NewReplacer(" ", "-", "_", "-").Replace(strings.ToLower(name))
}

// lower begins a title with a small letter, for use inside a sentence. Titles of measures begin with ordinary words.
func lower(title string) string {
	first, size := utf8.DecodeRuneInString(title)
	return string(unicode.ToLower(first)) + title[size:]
}

// plural prints a number with its noun.
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// times prints how often something happened.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// count prints a whole number with thin spaces between thousands, as a number of rows needs them.
func count(n int64) string {
	text := strconv.FormatInt(n, 10)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "\u202f" + text[at:]
	}
	return text
}
