package pipeline_test

import (
	"strings"
	"testing"
)

// sheet is a dispatch sheet with one date and clocks: those after the first may pass midnight.
const sheet = `sources:
  - files: "sheet*"
    table: transports
    time_zone: America/Chicago
    time_format: "%m/%d/%Y %H:%M"
    columns:
      transport_id: Run
      accepted_at: [Date, Dispatched]
      departed_base_at: {from: [Date, Departed], next_day: 12h}
      arrived_referring_at: {from: [Date, Arrived], next_day: 12h}
      at_patient_at: {from: [Date, Patient], next_day: 12h}
      available_at: {from: [Date, Ready], next_day: 12h}
`

// The moments are worked out by hand. Chicago is five hours behind UTC in summer, six in winter; on 8 March 2026 there is no time
// from 2:00 to 3:00, on 1 November the hour from 1:00 comes twice.
func TestTimesPastMidnight(t *testing.T) {
	for name, c := range map[string]struct{ date, clocks, want string }{
		"a day":              {"03/31/2026", "14:05,14:20,15:00,15:10,18:30", "03-31 19:05|03-31 19:20|03-31 20:00|03-31 20:10|03-31 23:30|-"},
		"past midnight":      {"03/31/2026", "23:05,23:20,00:40,00:50,03:10", "04-01 04:05|04-01 04:20|04-01 05:40|04-01 05:50|04-01 08:10|next_day"},
		"at midnight":        {"03/31/2026", "23:05,23:20,00:00,00:00,03:10", "04-01 04:05|04-01 04:20|04-01 05:00|04-01 05:00|04-01 08:10|next_day"},
		"over what is empty": {"03/31/2026", "23:05,,,00:50,", "04-01 04:05|-|-|04-01 05:50|-|next_day"},
		"nothing at all":     {"03/31/2026", ",,,,", "-|-|-|-|-|-"},
		"two midnights":      {"03/31/2026", "22:00,01:00,13:00,23:30,00:30", "04-01 03:00|04-01 06:00|04-01 18:00|04-02 04:30|04-02 05:30|next_day"},
		"year's end":         {"12/31/2026", "23:05,23:20,00:40,00:50,", "01-01 05:05|01-01 05:20|01-01 06:40|01-01 06:50|-|next_day"},
		// A minute backwards is a slip of the pen, no day of 23:59: it stays where its date puts it, out of order.
		"out of order":               {"03/31/2026", "14:05,14:04,15:00,15:10,18:30", "03-31 19:05|03-31 19:04|03-31 20:00|03-31 20:10|03-31 23:30|-"},
		"out of order past midnight": {"03/31/2026", "23:50,00:30,00:20,23:55,01:10", "04-01 04:50|04-01 05:30|04-01 05:20|04-01 04:55|04-01 06:10|next_day"},
		"long before":                {"03/31/2026", "00:10,23:50,,,", "03-31 05:10|04-01 04:50|-|-|-|-"},
		// What took more than a day reads as what took an hour: nobody can tell.
		"more than a day":        {"03/31/2026", "08:00,,,,09:00", "03-31 13:00|-|-|-|03-31 14:00|-"},
		"into the missing hour":  {"03/07/2026", "23:30,23:40,02:30,03:05,", "03-08 05:30|03-08 05:40|-|03-08 08:05|-|next_day"},
		"into the repeated hour": {"10/31/2026", "23:30,23:40,01:50,01:10,02:05", "11-01 04:30|11-01 04:40|11-01 06:50|11-01 07:10|11-01 08:05|clock_repeated next_day"},
		"in the repeated hour":   {"11/01/2026", "00:50,01:50,01:10,02:05,", "11-01 05:50|11-01 06:50|11-01 07:10|11-01 08:05|-|clock_repeated"},
	} {
		t.Run(name, func(t *testing.T) {
			st := newStore(t)
			out, entries := loadBy(t, st, parsed(t, sheet), folder(t, "sheet.csv", "Run,Date,Dispatched,Departed,Arrived,Patient,Ready\nA,"+c.date+","+c.clocks+"\n"))
			var columns []string
			for _, stamp := range []string{"accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at", "available_at"} {
				columns = append(columns, "coalesce(strftime("+stamp+", '%m-%d %H:%M'), '-')")
			}
			if got := rows(t, st, "select "+strings.Join(columns, ", ")+", coalesce(flags, '-') from kept.transports"); got != c.want {
				t.Errorf("\n got %s\nwant %s", got, c.want)
			}
			if said := strings.Contains(strings.Join(out.Remarks, "\n"), "sheet.csv: 1 rows have a time that was taken for the next day, as layout.yaml line 2 asks; they are flagged next_day"); said != strings.Contains(c.want, "next_day") {
				t.Errorf("said %q", out.Remarks)
			}
			refused := int64(0)
			if name == "into the missing hour" {
				refused = 1
			}
			if entries[0].CellsRefused != refused {
				t.Errorf("%d cells refused, want %d", entries[0].CellsRefused, refused)
			}
		})
	}
}

// Without the key a time stays on the day of its date, and a shared date alone is no time: its cell is empty and not refused.
func TestSharedDateWithoutNextDay(t *testing.T) {
	st := newStore(t)
	_, entries := loadBy(t, st, parsed(t, strings.ReplaceAll(sheet, ", next_day: 12h", "")), folder(t, "sheet.csv",
		"Run,Date,Dispatched,Departed,Arrived,Patient,Ready\nA,03/31/2026,23:05,00:20,,soon,\n"))
	if got := rows(t, st, "select accepted_at, departed_base_at, arrived_referring_at, flags from kept.transports"); got != "2026-04-01 04:05:00|2026-03-31 05:20:00|<nil>|<nil>" {
		t.Errorf("got %s", got)
	}
	if got := rows(t, st, "select column_name, reason, cell from ledger.refused_cells"); got != "at_patient_at|unreadable|03/31/2026 soon" || entries[0].CellsRefused != 1 {
		t.Errorf("refused %s", got)
	}
}
