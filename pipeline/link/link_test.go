package link_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/link"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// trip is a transport as linking sees it; nil stamps were not recorded.
type trip struct {
	id          string
	disposition string // empty: completed
	ventilator  string
	carried     []string
	accepted    *time.Time
	between     []*time.Time // called_at, departed_base_at, handed_over_at
	available   *time.Time
}

// window is the trip window of definitions.md: from accepted_at (else the first stamp) to available_at (else the last).
func (p trip) window() (from, to time.Time, ok bool) {
	var stamps []time.Time
	for _, s := range append([]*time.Time{p.accepted, p.available}, p.between...) {
		if s != nil {
			stamps = append(stamps, *s)
		}
	}
	if len(stamps) == 0 {
		return from, to, false
	}
	from, to = slices.MinFunc(stamps, time.Time.Compare), slices.MaxFunc(stamps, time.Time.Compare)
	if p.accepted != nil {
		from = *p.accepted
	}
	if p.available != nil {
		to = *p.available
	}
	return from, to, !to.Before(from)
}

func (p trip) carries(device string) bool {
	return p.ventilator == device || slices.Contains(p.carried, device)
}

// owner is definitions.md, Trip window, word by word: the transport whose window holds the time, ends included; if none, one
// whose window widened by 30 min does; if several, the one whose window is nearer, then the one that starts later.
func owner(trips []trip, device string, at time.Time) string {
	type candidate struct {
		id       string
		distance time.Duration
		from     time.Time
	}
	var held []candidate
	for _, p := range trips {
		from, to, ok := p.window()
		if !ok || !p.carries(device) || p.disposition == "declined" {
			continue
		}
		distance := max(from.Sub(at), at.Sub(to), 0)
		if distance <= 30*time.Minute {
			held = append(held, candidate{p.id, distance, from})
		}
	}
	if len(held) == 0 {
		return ""
	}
	return slices.MinFunc(held, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), b.from.Compare(a.from), cmp.Compare(a.id, b.id))
	}).id
}

func openStore(t *testing.T) *store.Store {
	t.Helper()
	return storetest.Open(t, store.Options{})
}

func run(t *testing.T, st *store.Store, statements ...string) {
	t.Helper()
	for _, text := range statements {
		if _, err := st.DB().Exec(text); err != nil {
			t.Fatalf("%v in %.400s", err, text)
		}
	}
}

func stamp(at *time.Time) string {
	if at == nil {
		return "null"
	}
	return "timestamp '" + at.Format("2006-01-02 15:04:05.000000") + "'"
}

func keep(t *testing.T, st *store.Store, trips []trip) {
	t.Helper()
	run(t, st, "delete from kept.transports", "delete from kept.carried")
	for i, p := range trips {
		run(t, st, fmt.Sprintf(`insert into kept.transports (transport_id, disposition, ventilator_id, accepted_at, available_at, called_at,
			departed_base_at, handed_over_at, superseded, file_id, record_no) values ('%s', nullif('%s', ''), nullif('%s', ''), %s, %s, %s, %s, %s, false, 1, %d)`,
			p.id, p.disposition, p.ventilator, stamp(p.accepted), stamp(p.available), stamp(p.between[0]), stamp(p.between[1]), stamp(p.between[2]), i+2))
		for _, d := range p.carried {
			run(t, st, fmt.Sprintf("insert into kept.carried (transport_id, device_id, file_id, record_no) values ('%s', '%s', 1, 2)", p.id, d))
		}
	}
}

type span struct {
	device, id string
	from, to   time.Time // to is exclusive
}

func spans(t *testing.T, st *store.Store) (all []span) {
	t.Helper()
	rows, err := st.DB().Query("select device_id, transport_id, from_at, to_at from (" + link.SpansSQL() + ")")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var s span
		if err := rows.Scan(&s.device, &s.id, &s.from, &s.to); err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

func (s span) holds(device string, at time.Time) bool {
	return s.device == device && !at.Before(s.from) && at.Before(s.to)
}

// Random small cases: windows that overlap, touch, tie, stand in each other, lie microseconds or days apart.
func randomTrips(random *rand.Rand) (trips []trip, edges []time.Time) {
	start := time.Date(2026, 3, 1, 23, 0, 0, 0, time.UTC)
	steps := []time.Duration{0, time.Microsecond, time.Minute, 15 * time.Minute, 29 * time.Minute, 30 * time.Minute, 31 * time.Minute, time.Hour, 61*time.Minute + time.Microsecond, 5 * time.Hour}
	moment := func() *time.Time {
		if random.IntN(4) == 0 {
			return nil
		}
		at := start
		for range random.IntN(4) {
			at = at.Add(steps[random.IntN(len(steps))])
		}
		at = at.Truncate(time.Microsecond)
		edges = append(edges, at)
		return &at
	}
	for i := range 1 + random.IntN(4) {
		p := trip{id: fmt.Sprintf("T%d", i), accepted: moment(), available: moment(), between: []*time.Time{moment(), moment(), moment()}}
		p.disposition = []string{"", "", "", "completed", "cancelled", "declined"}[random.IntN(6)]
		p.ventilator = []string{"", "V1", "V1", "V2"}[random.IntN(4)]
		if random.IntN(2) == 0 {
			p.carried = []string{"V1"}
		}
		trips = append(trips, p)
	}
	return trips, edges
}

func TestSpansAreTheDefinition(t *testing.T) {
	st := openStore(t)
	random := rand.New(rand.NewPCG(5, 6))
	linked := 0
	for round := range 250 {
		trips, edges := randomTrips(random)
		keep(t, st, trips)
		found := spans(t, st)
		for _, device := range []string{"V1", "V2"} {
			for _, at := range probes(random, edges) {
				var got []string
				for _, s := range found {
					if s.holds(device, at) {
						got = append(got, s.id)
					}
				}
				want := owner(trips, device, at)
				if want != "" {
					linked++
				}
				if strings.Join(got, ",") != want {
					t.Fatalf("round %d, %s at %v: %q, want %q\n%+v", round, device, at, got, want, describe(trips))
				}
			}
		}
	}
	if linked < 10_000 {
		t.Errorf("%d probes had an owner: the cases are not what they should be", linked)
	}
}

// probes are all times at which an owner could change: ends, widened ends, half way between two ends, a microsecond on
// either side; and some at random.
func probes(random *rand.Rand, edges []time.Time) (all []time.Time) {
	var near []time.Time
	for _, a := range edges {
		near = append(near, a, a.Add(30*time.Minute), a.Add(-30*time.Minute))
		b := edges[random.IntN(len(edges))]
		near = append(near, a.Add(b.Sub(a)/2).Truncate(time.Microsecond))
		near = append(near, a.Add(time.Duration(random.Int64N(int64(3*time.Hour)))-90*time.Minute).Truncate(time.Microsecond))
	}
	for _, at := range near {
		all = append(all, at.Add(-time.Microsecond), at, at.Add(time.Microsecond))
	}
	return all
}

func describe(trips []trip) string {
	var lines []string
	for _, p := range trips {
		from, to, ok := p.window()
		lines = append(lines, fmt.Sprintf("%s %q %q %v: %v to %v (%v)", p.id, p.disposition, p.ventilator, p.carried, from, to, ok))
	}
	return strings.Join(lines, "\n")
}

// A row that no span owns stays unlinked; one that names its transport, or no device, is not linked by time.
func TestRowsAreLinkedByDeviceAndTime(t *testing.T) {
	st := openStore(t)
	at := func(hour, minute int) *time.Time {
		moment := time.Date(2026, 3, 1, hour, minute, 0, 0, time.UTC)
		return &moment
	}
	keep(t, st, []trip{
		{id: "T1", ventilator: "V1", accepted: at(9, 0), available: at(12, 0), between: []*time.Time{nil, nil, nil}},
		{id: "T2", ventilator: "V1", accepted: at(13, 0), available: at(15, 0), between: []*time.Time{nil, nil, nil}, disposition: "cancelled"},
		{id: "T3", ventilator: "V1", accepted: at(20, 0), available: at(22, 0), between: []*time.Time{nil, nil, nil}, disposition: "declined"},
	})
	run(t, st, link.RespanSQL()...)
	for _, c := range []struct{ transport, device, at, want string }{
		{"", "V1", "09:00:00", "T1"}, {"", "V1", "12:00:00", "T1"}, {"", "V1", "08:30:00", "T1"}, {"", "V1", "08:29:59.999999", ""},
		{"", "V1", "12:29:59.999999", "T1"}, {"", "V1", "12:30:00", "T2"}, {"", "V1", "15:30:00", "T2"}, {"", "V1", "15:30:00.000001", ""},
		{"", "V1", "21:00:00", ""}, {"", "V2", "10:00:00", ""}, {"", "", "10:00:00", ""}, {"T9", "V1", "10:00:00", ""},
	} {
		row := fmt.Sprintf("(select nullif('%s', '') as transport_id, nullif('%s', '') as device_id, timestamp '2026-03-01 %s' as recorded_at) r", c.transport, c.device, c.at)
		var got *string
		if err := st.DB().QueryRow("select h.transport_id from " + row + " " + link.OwnerJoin("span_hours", "recorded_at")).Scan(&got); err != nil {
			t.Fatal(err)
		}
		if got == nil {
			got = new(string)
		}
		if *got != c.want {
			t.Errorf("%+v: linked to %q", c, *got)
		}
	}
}
