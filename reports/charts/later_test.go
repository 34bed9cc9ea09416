package charts

import (
	"strings"
	"testing"
)

// What several machines draw beside the caller is, byte for byte, what one draws, each in its place.
func TestBusyRendererDrawsTheSame(t *testing.T) {
	busy := NewBusyRenderer()
	var document, want []byte
	for _, s := range samples(0) {
		held, err := s.draw(busy)
		if err != nil || strings.Contains(held, "viewBox") {
			t.Fatalf("%s: %v, or drawn at once", s.name, err)
		}
		document = append(document, "<p>"+held+"</p>"...)
		want = append(want, "<p>"+drawn(t, s)+"</p>"...)
	}
	if _, err := samples(0)[0].draw(busy); err == nil || !strings.Contains(err.Error(), "used before") {
		t.Errorf("an ID for the second time: %v", err)
	}
	got, err := busy.Fill(document, func(svg string) string { return svg })
	if err != nil || string(got) != string(want) {
		t.Errorf("%v, or other bytes than those of one machine (%d and %d)", err, len(got), len(want))
	}
}

func TestFillWithoutADrawing(t *testing.T) {
	busy := NewBusyRenderer()
	if _, err := busy.Fill([]byte(holder("never-drawn")), strings.ToUpper); err == nil || !strings.Contains(err.Error(), "never-drawn") {
		t.Errorf("got %v: a place holder without a drawing is an error", err)
	}
}
