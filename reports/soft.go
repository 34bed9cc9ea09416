package reports

import (
	"html/template"
	"strings"
	"unicode/utf8"
)

// Names of records may be of any length and without a blank. Such words get places at which a line may break, and a cell with
// many letters may have several lines; else a single name would push a table off the page.
const (
	longCell = 44
	longWord = 22
	wordStep = 11
)

// Long says that a cell may have several lines.
func (c cell) Long() bool { return utf8.RuneCountInString(c.Text) > longCell }

// Month says that a cell is a month, which is not parted.
func (c cell) Month() bool { return monthName.MatchString(c.Text) }

// Long says that a heading may have several lines.
func (c column) Long() bool { return utf8.RuneCountInString(c.Text) > longCell }

// Soft is a text of the table as it is printed. Hashes are copied and looked for: nothing is put into them.
func (t table) Soft(text string) template.HTML {
	if strings.HasPrefix(t.Class, "hashes") {
		return template.HTML(template.HTMLEscapeString(text))
	}
	return soft(text)
}

// soft escapes a text and marks where its long words may be parted, without a letter that would be copied with it.
func soft(text string) template.HTML {
	var out strings.Builder
	for i, word := range strings.Split(text, " ") {
		if i > 0 {
			out.WriteByte(' ')
		}
		letters := []rune(word)
		for len(letters) > longWord {
			out.WriteString(template.HTMLEscapeString(string(letters[:wordStep])) + "<wbr/>")
			letters = letters[wordStep:]
		}
		out.WriteString(template.HTMLEscapeString(string(letters)))
	}
	return template.HTML(out.String())
}
