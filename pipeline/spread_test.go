package pipeline_test

import (
	"fmt"
	"strings"
	"testing"

	"tripwake/pipeline"
)

// A file that the engine would part among its threads, in quoted cells of which stand lines that look like records: none of them is one,
// whether the file goes straight into the store or is read as text, and whether it stands alone or not.
func TestLinesInQuotesAreNoRecords(t *testing.T) {
	const rows, bytes = 400_000, 36 << 20 // the engine parts a file after 32 MB
	const by = `sources:
  - files: "trend*"
    table: readings
    columns: {device_id: Unit, recorded_at: Stamp}
    quantities: {spo2: SpO2, heart_rate: HR}
`
	for name, last := range map[string]string{"straight": "100", "as text": "abc"} {
		var text strings.Builder
		text.WriteString("Unit,Stamp,Remark,SpO2,HR\n")
		for i := range rows {
			moment := fmt.Sprintf("2025-06-%02d %02d:%02d:%02d", 1+i/86400, i/3600%24, i/60%60, i%60)
			fmt.Fprintf(&text, "V1,%s,\"a\n%s\",%d,%s\n", moment, fmt.Sprintf("%d,V1,%s,zz,99,333\nV1,%s,zz,99,333\n", i+3, moment, moment), 80+i%20,
				map[bool]string{true: last, false: "101"}[i == rows/2])
		}
		if text.Len() < bytes {
			t.Fatalf("%d bytes are too few", text.Len())
		}
		o := options()
		o.Layout = parsed(t, by)
		st := newStore(t)
		out, err := pipeline.Load(t.Context(), st, []string{folder(t, "trend 1.csv", text.String())}, o)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		entries, err := st.Ledger(t.Context(), out.LoadID)
		if err != nil {
			t.Fatal(err)
		}
		refused := strings.Count(last, "abc")
		wantCounts(t, entries, fmt.Sprintf("trend 1.csv %d=%d+0+%d s0", 2*rows, 2*rows-refused, refused))
		if n := one(t, st, "select count(*) from kept.readings where value = 333 or value = 99 and quantity = 'heart_rate'"); n != "0" {
			t.Errorf("%s: %s readings are none", name, n)
		}
	}
}
