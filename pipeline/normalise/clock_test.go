package normalise_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// readings of a local time: the moments at which the zone's clocks showed it, the earliest first. Slow and obvious: all
// offsets that the zone has within a day on either side are tried.
func readings(local time.Time, zone *time.Location) (moments []time.Time) {
	tried := map[int]bool{}
	for h := -30; h <= 30; h++ {
		_, offset := local.Add(time.Duration(h) * time.Hour).In(zone).Zone()
		at := local.Add(-time.Duration(offset) * time.Second)
		if tried[offset] {
			continue
		}
		tried[offset] = true
		if _, there := at.In(zone).Zone(); there == offset {
			moments = append(moments, at)
		}
	}
	slices.SortFunc(moments, time.Time.Compare)
	return moments
}

const clockForm = "2006-01-02 15:04:05.999999"

// Every local time is read as Go's own time zone data have it: the first of two readings, flagged; none, refused.
func TestClockAgreesWithTheZoneData(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, name := range []string{"America/Chicago", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu", "Africa/Casablanca", "America/Sao_Paulo", "UTC"} {
		t.Run(name, func(t *testing.T) {
			zone, err := time.LoadLocation(name)
			if err != nil {
				t.Fatal(err)
			}
			locals := localTimes(random, zone)
			var b strings.Builder
			b.WriteString("transport_id,called_at\n")
			for i, local := range locals {
				fmt.Fprintf(&b, "T%d,%s\n", i, local.Format("2006-01-02 15:04:05"))
			}
			got := table(t, loaded(t, "transports.csv", b.String(), zone), "select called_at, flags, reason from kept.transports k left join ledger.refused_cells c on c.record_no = k.record_no order by k.record_no")
			for i, local := range locals {
				want := "||missing_hour"
				if moments := readings(local, zone); len(moments) == 1 {
					want = moments[0].Format(clockForm) + "||"
				} else if len(moments) > 1 {
					want = moments[0].Format(clockForm) + "|clock_repeated|"
				}
				if got[i] != want {
					t.Errorf("%s: %s, want %s", local.Format(clockForm), got[i], want)
				}
			}
		})
	}
}

// localTimes are random instants of 1970 to 2100 as the zone shows them, and the seconds around each change of its offset.
func localTimes(random *rand.Rand, zone *time.Location) (locals []time.Time) {
	show := func(at time.Time) time.Time {
		_, offset := at.In(zone).Zone()
		return at.UTC().Add(time.Duration(offset) * time.Second)
	}
	start, end := time.Date(1970, 1, 2, 0, 0, 0, 0, time.UTC).Unix(), time.Date(2100, 12, 30, 0, 0, 0, 0, time.UTC).Unix()
	for range 500 {
		locals = append(locals, show(time.Unix(start+random.Int64N(end-start), 0)))
	}
	for h := start; h < end; h += 3600 {
		before, after := time.Unix(h, 0), time.Unix(h+3600, 0)
		_, a := before.In(zone).Zone()
		_, b := after.In(zone).Zone()
		if a == b {
			continue
		}
		for _, shift := range []int{-7201, -5400, -3601, -3600, -1801, -1800, -1, 0, 1, 1799, 1800, 3599, 3600, 5400, 7200} {
			locals = append(locals, show(after).Add(time.Duration(shift)*time.Second))
		}
	}
	return locals
}

// definitions.md, Time: the order of the transport's events decides which pass of the repeated hour is meant; where it does
// not, the first is. In Chicago 01:00 to 02:00 of 2026-11-01 came twice: at UTC−5, then at UTC−6.
func TestOrderDecidesTheRepeatedHour(t *testing.T) {
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, columns, cells, want string }{
		{"nothing decides", "called_at,accepted_at", "01:10,01:30", "06:10:00|06:30:00|clock_repeated"},
		{"backwards on the clock", "called_at,accepted_at", "01:50,01:10", "06:50:00|07:10:00|clock_repeated"},
		{"equal on the clock", "called_at,accepted_at", "01:10,01:10", "06:10:00|06:10:00|clock_repeated"},
		{"after an unambiguous one", "called_at,accepted_at", "00:50,01:10", "05:50:00|06:10:00|clock_repeated"},
		{"after one with an offset", "called_at,accepted_at", "01:05-06:00,01:10", "07:05:00|07:10:00|clock_repeated"},
		{"an offset needs no flag", "called_at,accepted_at", "01:05-06:00,01:10-06:00", "07:05:00|07:10:00|None"},
		{"out of order either way", "called_at,accepted_at", "03:00,01:10", "09:00:00|06:10:00|clock_repeated"},
		{"columns in another order", "accepted_at,called_at", "01:10,01:50", "07:10:00|06:50:00|clock_repeated"},
		{"over an empty one", "called_at,accepted_at,departed_base_at", "01:50,,01:20", "06:50:00||07:20:00|clock_repeated"},
		{"over an unreadable one", "called_at,accepted_at,departed_base_at", "01:50,soon,01:20", "06:50:00||07:20:00|clock_repeated"},
		{"a chain", "called_at,accepted_at,departed_base_at,available_at", "01:50,01:20,01:40,02:10", "06:50:00|07:20:00|07:40:00|08:10:00|clock_repeated"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var cells []string
			for _, cell := range strings.Split(c.cells, ",") {
				if cell != "" && cell != "soon" {
					cell = "2026-11-01 " + cell
				}
				cells = append(cells, cell)
			}
			st := loaded(t, "transports.csv", "transport_id,"+c.columns+"\nT1,"+strings.Join(cells, ",")+"\n", chicago)
			got := table(t, st, "select "+c.columns+", coalesce(flags, 'None') from kept.transports")[0]
			if got = strings.ReplaceAll(got, "2026-11-01 ", ""); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

// In an alarm, too, its end does not come before its start; a device log has no order of events else.
func TestOrderInAlarms(t *testing.T) {
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	st := loaded(t, "alarms.csv", "device_id,started_at,ended_at,condition\nV1,2026-11-01 01:59,2026-11-01 01:01,apnea\nV1,2026-03-08 02:30,,apnea\nV1,2026-03-08 01:59:59,2026-03-08 02:00:00,apnea\n", chicago)
	want := []string{"2026-11-01 06:59:00|2026-11-01 07:01:00|clock_repeated", "2026-03-08 07:59:59||"}
	if got := table(t, st, "select started_at, ended_at, flags from kept.alarms order by record_no"); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := table(t, st, "select 'row', column_name, reason from ledger.refused_rows union all select 'cell', column_name, reason from ledger.refused_cells"); !slices.Equal(got, []string{"row|started_at|missing_hour", "cell|ended_at|missing_hour"}) {
		t.Errorf("refused %q", got)
	}
}
