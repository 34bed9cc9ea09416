package charts

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

const (
	unitsPerEm   = 2048.0
	unknownWidth = 1139 // of a code point outside widthRuns: a digit's
	wideWidth    = 2048 // of an ideograph
	ellipsis     = "…"
)

// clean makes a word fit to be one line of text: white space becomes single blanks; characters that XML forbids, and the
// invisible ones that reorder the text around them, are dropped. It does not escape: that is done when the SVG is written.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case r == ' ' || r == '\u00a0' || r == '\u202f':
			return r
		case unicode.IsSpace(r):
			return ' '
		case unicode.Is(unicode.Cc, r), unicode.Is(unicode.Bidi_Control, r), r == '\uFEFF', r == '\uFFFE', r == '\uFFFF':
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
}

// textWidth is the width of a text in px at a font size in px.
func textWidth(s string, size float64) float64 {
	units := 0
	for _, r := range s {
		units += runeWidth(r)
	}
	return float64(units) * size / unitsPerEm
}

func runeWidth(r rune) int {
	for _, run := range widthRuns {
		if i := int(r - run.first); i >= 0 && i < len(run.widths) && run.widths[i] > 0 {
			return int(run.widths[i])
		}
	}
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1100 && unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul), r > 0xFFFF, r >= 0xFF00:
		return wideWidth
	}
	return unknownWidth
}

// fit cleans a text and, where it is wider than room (px), cuts it and ends it with an ellipsis.
func fit(s string, room, size float64) string {
	s = clean(s)
	if textWidth(s, size) <= room {
		return s
	}
	left := room - textWidth(ellipsis, size)
	end := 0
	for i, r := range s {
		left -= float64(runeWidth(r)) * size / unitsPerEm
		if left < 0 {
			break
		}
		end = i + len(string(r))
	}
	return strings.TrimRight(s[:end], " ") + ellipsis
}

// wrap breaks a text at blanks into lines that fit into room; the last line that is allowed takes the rest, cut.
func wrap(s string, room, size float64, most int) []string {
	var lines []string
	line := ""
	words := strings.Fields(clean(s))
	for i, w := range words {
		next := strings.TrimSpace(line + " " + w)
		if line == "" || textWidth(next, size) <= room {
			line = next
			continue
		}
		if len(lines) == most-1 {
			line = strings.Join(append([]string{line}, words[i:]...), " ")
			break
		}
		lines = append(lines, line)
		line = w
	}
	lines = append(lines, line)
	for i := range lines {
		lines[i] = fit(lines[i], room, size)
	}
	return lines
}

// number prints v with so many decimals, a true minus sign, and thousands set apart by no-break blanks from 10 000 on.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, rest, _ := strings.Cut(s, ".")
	if len(whole) > 4 {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + "\u00a0" + whole[i:]
		}
	}
	if rest != "" {
		whole += "." + rest
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		return "−" + whole
	}
	return whole
}
