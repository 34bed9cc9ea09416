package pipeline_test

import (
	"strings"
	"testing"

	"tripwake/pipeline"
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
