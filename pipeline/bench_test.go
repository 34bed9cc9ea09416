package pipeline_test

import (
	"context"
	"os"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

func TestBenchTmp(t *testing.T) {
	ctx := context.Background()
	if os.Getenv("BARE") != "" {
		for range 2 {
			dir := t.TempDir()
			st, _ := store.Open(ctx, dir+"/b.duckdb", store.Options{Memory: os.Getenv("MEM")})
			start := time.Now()
			_, err := st.DB().Exec(`create table x as select * from read_csv('/tmp/bench/readings.csv', auto_detect=false, header=true, delim=',', quote='"', escape='"', columns={'transport_id':'varchar','device_id':'varchar','recorded_at':'timestamp','quantity':'varchar','value':'double','unit':'varchar'})`)
			t.Log("bare", time.Since(start), err)
			st.Close()
		}
	}
	if os.Getenv("LOAD") != "" {
		for range 2 {
			dir := t.TempDir()
			st, err := store.Open(ctx, dir+"/a.duckdb", store.Options{Memory: os.Getenv("MEM")})
			if err != nil {
				t.Fatal(err)
			}
			zone, _ := time.LoadLocation("America/Chicago")
			start := time.Now()
			_, err = pipeline.Load(ctx, st, []string{"/tmp/bench"}, pipeline.Options{Zone: zone, Now: time.Unix(1, 0), Program: "x"})
			t.Log("load", time.Since(start), err)
			start = time.Now()
			st.Close()
			t.Log("close", time.Since(start), err)
		}
	}
}
