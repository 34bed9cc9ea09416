package pipeline_test

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

func TestOracleCase(t *testing.T) {
	ctx := context.Background()
	st, err := store.Open(ctx, t.TempDir()+"/a.duckdb", store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	zone, _ := time.LoadLocation("America/Chicago")
	out, err := pipeline.Load(ctx, st, []string{os.Getenv("CASE")}, pipeline.Options{Zone: zone, Now: time.Unix(1, 0), Program: "x"})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(out)
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		fmt.Println(e)
	}
	for _, q := range []string{"select transport_id, accepted_at, available_at, birth_weight, vehicle, superseded, flags, record_no from kept.transports", "select * from kept.readings", "select * from link.spans", "from ledger.refused_cells"} {
		rows, err := st.DB().Query(q)
		if err != nil {
			t.Fatal(err)
		}
		cols, _ := rows.Columns()
		for rows.Next() {
			v := make([]any, len(cols))
			p := make([]any, len(cols))
			for i := range v {
				p[i] = &v[i]
			}
			rows.Scan(p...)
			fmt.Println(v...)
		}
	}
	r, err := st.Refusals(ctx, 0, 3)
	fmt.Println(err)
	for _, e := range r {
		fmt.Println(e.File, e.Record, e.Column, e.Reason, e.Expected)
	}
}
