package pipeline_test

import (
	"path/filepath"
	"strings"
	"testing"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

// Names and cells are text, whatever they hold.
func TestHostileNamesAndCells(t *testing.T) {
	long := strings.Repeat("ä'\"\"", 25_000)
	cells := []string{
		"'; drop table kept.transports; --", "=cmd|' /C calc'!A0", "$1 ? %s {{x}} ${x}", "\\", "NULL", "null", "\x01\x02\x01x",
		"<script>alert(1)</script>", "a\u202eb", "\U0001F691", "[1, 2]", "{'a': 1}", "c0", long,
	}
	const head = "transport_id,\"te\nam\",\"team\",\"x\"\"); drop table kept.events; --\",\"c0\",\"\"\n"
	text := head
	for i, cell := range cells {
		text += "T" + string(rune('a'+i)) + ",1,\"" + strings.ReplaceAll(cell, `"`, `""`) + "\",2,3,4\n"
	}
	dir := folder(t,
		"a'b/transports-x'; drop table kept.transports; --.csv", text,
		"[a]*/events-?.csv", "transport_id,kind,narrative\nT1,other,ok\nT1,\"'; drop table kept.events; --\",x\nT1,other\n",
		"events-1.csv", "transport_id,kind,narrative\nT2,other,another\n")
	st := newStore(t)
	for _, e := range loadPaths(t, st, dir) {
		if e.File == "a'b/transports-x'; drop table kept.transports; --.csv" && e.Stored != int64(len(cells)) {
			t.Errorf("%+v, want %d stored", e, len(cells))
		}
		if e.File == "[a]*/events-?.csv" && (e.Stored != 1 || e.Refused != 2) {
			t.Errorf("%+v, want 1 stored, 2 refused", e)
		}
	}
	var want []string
	for _, cell := range cells {
		want = append(want, strings.TrimSpace(cell))
	}
	if got := rows(t, st, "select team from kept.transports order by record_no"); got != strings.Join(want, "\n") {
		t.Errorf("cells changed: %.300q", got)
	}
	if _, err := pipeline.WriteRefused(t.Context(), st, 0, t.TempDir()); err != nil {
		t.Error(err)
	}
}

// A path that the engine cannot be told is refused by name, since copies of exports lie beside the store: with the signs of a pattern in it, a
// backslash parts folders. Exports may lie where they like.
func TestPathsThatCannotBeUsed(t *testing.T) {
	dir := folder(t, `a[1]\b/events.csv`, "transport_id,kind\nT1,other\n")
	st, err := store.Open(t.Context(), filepath.Join(dir, `a[1]\b`, "s.db"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	if _, err := pipeline.Load(t.Context(), st, []string{filepath.Join(dir, `a[1]\b`, "events.csv")}, options()); err == nil || !strings.Contains(err.Error(), "a path with a backslash beside *, ? or [ cannot be used; name a store in another folder") {
		t.Errorf("%v", err)
	}
	loadPaths(t, newStore(t), filepath.Join(dir, `a[1]\b`, "events.csv"))
}

// Quarters of an hour begin on one before 1970 too, when clocks that lost their date may stand. The kit compares them with time_bucket.
func TestQuartersOfLostClocks(t *testing.T) {
	o := options()
	o.Layout = parsed(t, trends)
	st := newStore(t)
	loadBy(t, st, o.Layout, folder(t, "trend 1.csv", trendHead+"V1,12/31/1969,23:50:00,20,40,97\nV1,12/31/1969,23:44:59,20,40,97\nV1,01/01/1970,00:00:01,20,40,97\nV1,03/01/1931,10:15:00,20,40,97\n"))
	quarters(t, st)
	if n := one(t, st, "select count(distinct quarter) from kept.reading_quarters"); n != "4" {
		t.Errorf("%s quarters", n)
	}
}
