package reports

import (
	"strings"
	"testing"
)

// A long word is parted where a line may break, inside no escape; all others are escaped as they are.
func TestSoft(t *testing.T) {
	for text, want := range map[string]string{
		"Ostrelow Memorial, 12–25":     "Ostrelow Memorial, 12–25",
		"<b>&amp;":                     "&lt;b&gt;&amp;amp;",
		"a " + strings.Repeat("&", 23): "a " + strings.Repeat("&amp;", 11) + "<wbr/>" + strings.Repeat("&amp;", 12),
		strings.Repeat("ä", 33):        strings.Repeat("ä", 11) + "<wbr/>" + strings.Repeat("ä", 22),
		" two  blanks ":                " two  blanks ",
	} {
		if got := string(soft(text)); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
