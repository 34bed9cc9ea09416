package pipeline_test

import (
	"testing"
	"time"

	"tripwake/pipeline"
)

// Short names are looked for in the columns of names, under whatever headers these came; refused rows of others stay, also those
// without a patient key.
func TestForgetNamesUnderOtherHeaders(t *testing.T) {
	st := newStore(t)
	o := options()
	o.Layout = parsed(t, `sources:
  - files: "disp *.csv"
    table: transports
    columns: {transport_id: [Base, Run], patient_key: MRN, accepted_at: When}
  - files: "ev *.csv"
    table: events
    columns: {event_id: Nr, transport_id: Case, kind: Kind, narrative: Words}
`)
	dir := folder(t,
		"disp 1.csv", "Base,Run,MRN,When\nN,7,55,2026-01-05 10:00\n,8,,2026-01-06 10:00\n,9,55,2026-01-07 10:00\n, 10 ,55,soon\n",
		"ev 1.csv", "Nr,CASE,Kind,Words\nE1,8,other,a\nE2,N 7,nonsense,b\nE3,8,nonsense,N 7?\nE4,9,nonsense,c\n",
		"events.csv", "Event ID,Transport ID,kind\nE5,N 7,nonsense\nE6,8,nonsense\n",
		"transports.csv", "Transport-ID,Patient Key,birth_weight\n,,1\n,55,2\n")
	if _, err := pipeline.Load(t.Context(), st, []string{dir}, o); err != nil {
		t.Fatal(err)
	}
	left := func(f pipeline.Forgetting, want string) {
		t.Helper()
		f.Key, f.Now = []byte("key"), time.Unix(1, 0)
		if _, err := pipeline.Forget(t.Context(), st, f); err != nil {
			t.Fatal(err)
		}
		if got := rows(t, st, "select array_to_string(cells, ',') from ledger.refused_rows where len(cells) > 0 order by all"); got != want {
			t.Errorf("after forgetting %q %q the text of refused rows is\n%s\nwant\n%s", f.Transport, f.Patient, got, want)
		}
	}
	left(pipeline.Forgetting{Transport: "N 7"}, ",,1\n,55,2\nE3,8,nonsense,N 7?\nE4,9,nonsense,c\nE6,8,nonsense")
	left(pipeline.Forgetting{Patient: "55"}, ",,1\nE3,8,nonsense,N 7?\nE6,8,nonsense")
}
