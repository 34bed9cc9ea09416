package measures

import "testing"

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"Łódź 38.2 °C":      "Łódź 38.2 °C",
		"a\x1b[31mb":        `a\x1b[31mb`,
		"a\nb\tc":           `a\nb\tc`,
		"a\u202eb\u2028c":   `a\u202eb\u2028c`,
		"a\xffb\ufffdc":     "a\ufffdb\ufffdc",
		"\u0085\x7f\ufeff":  `\u0085\x7f\ufeff`,
		"'quoted\" \\ text": "'quoted\" \\ text",
		"":                  "",
	} {
		if got := Visible(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
