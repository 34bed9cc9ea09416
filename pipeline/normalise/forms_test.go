package normalise

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// engine is an empty store, for statements about texts.
func engine(t testing.TB) *store.Store {
	t.Helper()
	return storetest.Open(t, store.Options{})
}

// valuesOf works an expression over a text t out for each text: as text, empty where it is NULL.
func valuesOf(t testing.TB, st *store.Store, expression string, texts ...string) []string {
	t.Helper()
	quoted := make([]string, len(texts))
	for i, text := range texts {
		quoted[i] = fmt.Sprintf("(%d, %s)", i, store.Literal(text))
	}
	rows, err := st.DB().Query(fmt.Sprintf("select coalesce((%s)::varchar, '') from (values %s) v(i, t) order by i", expression, strings.Join(quoted, ", ")))
	if err != nil {
		t.Fatalf("%v in %s", err, expression)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var value string
		if err := rows.Scan(&value); err != nil {
			t.Fatal(err)
		}
		all = append(all, value)
	}
	if err := rows.Err(); err != nil || len(all) != len(texts) {
		t.Fatalf("%d values for %d texts, %v, in %s", len(all), len(texts), err, expression)
	}
	return all
}

// read gives what a text is in the formats: the local time, the UTC time followed by Z, or nothing.
func readTimes(t testing.TB, st *store.Store, formats []string, texts ...string) []string {
	t.Helper()
	local := valuesOf(t, st, localTimeSQL("t", "", formats), texts...)
	universal := valuesOf(t, st, universalTimeSQL("t", formats), texts...)
	for i := range local {
		if local[i] != "" && universal[i] != "" {
			t.Errorf("%q in %q is both local and universal", texts[i], formats)
		}
		if universal[i] != "" {
			local[i] = universal[i] + "Z"
		}
	}
	return local
}

func TestFormats(t *testing.T) {
	st := engine(t)
	for _, c := range []struct {
		formats string // parted by |
		want    map[string]string
	}{
		{"%m/%d/%Y %H:%M", map[string]string{
			"03/05/2025 14:07": "2025-03-05 14:07:00", "3/5/2025 9:07": "2025-03-05 09:07:00", "12/31/2025 00:00": "2025-12-31 00:00:00",
			"31/12/2025 00:00": "", "02/29/2025 10:00": "", "02/29/2024 10:00": "2024-02-29 10:00:00", "03/05/25 14:07": "", "03/05/2025 24:00": "", "03/05/2025 14:7": "",
			"03/05/2025": "", "03/05/2025 14:07:00": "", "03-05-2025 14:07": "", "2025-03-05 14:07": "", "03/05/2025 14:07 PM": "", " 03/05/2025 14:07": "", "03/05/2025  14:07": "", "epoch": "", "": ""}},
		// Noon and midnight of a 12-hour clock, as ISO/IEC 9899 strptime's %I and %p have them: 12 AM is 00, 12 PM is 12.
		{"%m/%d/%Y %I:%M:%S %p", map[string]string{
			"03/05/2025 12:00:00 AM": "2025-03-05 00:00:00", "03/05/2025 12:00:00 PM": "2025-03-05 12:00:00", "3/5/2025 1:02:03 pm": "2025-03-05 13:02:03",
			"3/5/2025 1:02:03 p.m.": "2025-03-05 13:02:03", "3/5/2025 1:02:03\u202fPM": "2025-03-05 13:02:03", "3/5/2025 11:59:59 a. m.": "2025-03-05 11:59:59",
			"3/5/2025 13:02:03 PM": "", "3/5/2025 0:02:03 AM": "", "3/5/2025 1:02:03": "", "3/5/2025 1:02:03 XM": ""}},
		{"%d.%m.%y %H:%M|%d.%m.%Y %H:%M", map[string]string{
			"05.03.25 14:07": "2025-03-05 14:07:00", "5.3.2025 14:07": "2025-03-05 14:07:00", "01.01.68 00:00": "2068-01-01 00:00:00", "01.01.69 00:00": "1969-01-01 00:00:00"}}, // POSIX: 69 to 99 are 19xx
		// As long as a text with all numbers in full width: the engine alone skips blanks.
		{"%m/%d/%Y %H:%M:%S", map[string]string{"03/07/2026 14:05:33": "2026-03-07 14:05:33", "3/07/2026  14:05:33": "", " 3/07/2026 14:05:33": "", "+3/07/2026 14:05:33": "", "03/07/-026 14:05:33": "", "03/07/ 026 14:05:33": "", "03/07/2026 14:05: 3": "", "03/07/2026 14:05:3 ": "", "13/07/2026 14:05:33": "", "03/32/2026 14:05:33": "", "02/29/2026 14:05:33": "", "03/07/2026 24:05:33": "", "03/07/2026 14:60:33": "", "03/07/2026 14:05:60": "", "00/07/2026 14:05:33": "", "03-07-2026 14:05:33": "", "03/07/2026T14:05:33": "", "03/07/20260 4:05:33": "", "03/007/026 14:05:33": "", "3/007/2026 14:05:33": "", "03/07/2026 4:05:033": ""}},
		{"%Y%m%d %H%M%S", map[string]string{"20250305 140709": "2025-03-05 14:07:09", "2025305 140709": "", "20250305 14079": "", "20251305 140709": ""}},
		{"%d/%m/%Y %Hh%M", map[string]string{"05/03/2025 14h07": "2025-03-05 14:07:00", "05/03/2025 14:07": ""}},
		{"%d %b %Y %H:%M|%B %d, %Y %H:%M", map[string]string{
			"5 Mar 2025 14:07": "2025-03-05 14:07:00", "05 MAR 2025 14:07": "2025-03-05 14:07:00", "March 5, 2025 14:07": "2025-03-05 14:07:00", "May 5, 2025 14:07": "2025-05-05 14:07:00", "5 Mrz 2025 14:07": ""}},
		// 2025-03-05 was a Wednesday; 2025 has 365 days.
		{"%a %d.%m.%Y %H:%M", map[string]string{"Wed 05.03.2025 14:07": "2025-03-05 14:07:00", "Mon 05.03.2025 14:07": ""}},
		{"%A, %d.%m.%Y %H:%M", map[string]string{"wednesday, 05.03.2025 14:07": "2025-03-05 14:07:00", "Monday, 05.03.2025 14:07": ""}},
		{"%Y-%j %H:%M", map[string]string{"2025-064 14:07": "2025-03-05 14:07:00", "2025-365 00:00": "2025-12-31 00:00:00", "2025-366 00:00": "", "2024-366 00:00": "2024-12-31 00:00:00", "2025-000 00:00": ""}},
		{"%Y/%m/%d %H:%M:%S.%f|%Y/%m/%d %H:%M:%S", map[string]string{"2025/03/05 14:07:09.5": "2025-03-05 14:07:09.5", "2025/03/05 14:07:09.123456": "2025-03-05 14:07:09.123456", "2025/03/05 14:07:09": "2025-03-05 14:07:09"}},
		{"%d/%m/%Y %H:%M %z", map[string]string{"05/03/2025 14:07 +01:00": "2025-03-05 13:07:00Z", "05/03/2025 14:07 -0600": "2025-03-05 20:07:00Z", "05/03/2025 14:07 Z": "2025-03-05 14:07:00Z", "05/03/2025 14:07+01": "2025-03-05 13:07:00Z", "05/03/2025 14:07": ""}},
		// Two formats that read one text differently: 3 April or 4 March. 13/04 is one thing only.
		{"%d/%m/%Y %H:%M|%m/%d/%Y %H:%M", map[string]string{"03/04/2025 14:07": "", "13/04/2025 14:07": "2025-04-13 14:07:00", "04/13/2025 14:07": "2025-04-13 14:07:00", "04/04/2025 14:07": "2025-04-04 14:07:00"}},
		// ECMA-376 part 1, 18.17.4.1, 1900 date system: 1 is 1900-01-01 and 1900 counts as a leap year, so that 61 is 1900-03-01.
		// 45000 is 2023-03-15: 123 years × 365 + 30 leap days (1904 to 2020) + 74 days of 2023 + 1 for 1900 = 45000.
		{layout.Excel, map[string]string{
			"45000": "2023-03-15 00:00:00", "45000.5": "2023-03-15 12:00:00", "45000,25": "2023-03-15 06:00:00", "45000.60417": "2023-03-15 14:30:00", "45000.604166666667": "2023-03-15 14:30:00", "45000.999995": "2023-03-16 00:00:00",
			"61": "1900-03-01 00:00:00", "60": "", "59": "", "1": "", "0": "", "-45000": "", "2958465": "9999-12-31 00:00:00", "2958466": "", "4.5e4": "", "2023-03-15": "", "45 000": ""}},
		// The second 10^9 of the epoch; POSIX, seconds since the Epoch: 2001-09-09T01:46:40Z.
		{layout.Epoch, map[string]string{"1000000000": "2001-09-09 01:46:40Z", "1000000000.25": "2001-09-09 01:46:40.25Z", "1741183627": "2025-03-05 14:07:07Z", "1000000000000": "", "0": "", "86400": "", "-1000000000": ""}},
		{layout.EpochMillis, map[string]string{"1000000000000": "2001-09-09 01:46:40Z", "1741183627123": "2025-03-05 14:07:07.123Z", "1000000000": ""}},
		{layout.ISO + "|%d.%m.%Y %H:%M", map[string]string{"2025-03-05T14:07": "2025-03-05 14:07:00", "2025-03-05T14:07Z": "2025-03-05 14:07:00Z", "05.03.2025 14:07": "2025-03-05 14:07:00"}},
	} {
		var texts []string
		for text := range c.want {
			texts = append(texts, text)
		}
		for i, got := range readTimes(t, st, strings.Split(c.formats, "|"), texts...) {
			if want := c.want[texts[i]]; got != want {
				t.Errorf("%s: %q is %q, want %q", c.formats, texts[i], got, want)
			}
		}
	}
}

func TestDateFormats(t *testing.T) {
	st := engine(t)
	for _, c := range []struct{ format, text, want string }{
		{"%d/%m/%Y", "05/03/2025", "2025-03-05"}, {"%d/%m/%Y", "2025-03-05", ""}, {"%d/%m/%Y %H:%M", "05/03/2025 00:00", "2025-03-05"}, {"%d/%m/%Y %H:%M", "05/03/2025 10:00", ""},
		{layout.Excel, "45000", "2023-03-15"}, {layout.Excel, "45000.5", ""}, {layout.ISO, "2025-03-05", "2025-03-05"}, {layout.Epoch, "1000000000", ""},
	} {
		if got := valuesOf(t, st, dateIn("t", []string{c.format}), c.text); got[0] != c.want {
			t.Errorf("%s: %q is %q, want %q", c.format, c.text, got[0], c.want)
		}
	}
}

// Formats against Go's own reading of times, a second implementation, for each minute of a sample of days.
func TestFormatsAgainstGo(t *testing.T) {
	st := engine(t)
	for format, reference := range map[string]string{
		"%m/%d/%Y %I:%M %p": "01/02/2006 03:04 PM", "%d %b %y %H:%M:%S": "02 Jan 06 15:04:05", "%Y%m%d%H%M": "200601021504", "%A %B %d %Y %I:%M%p": "Monday January 2 2006 3:04PM",
		"%Y-%j %H:%M": "2006-002 15:04", "%-d.%-m.%Y %-H:%M": "2.1.2006 15:04",
	} {
		var texts, want []string
		for at := time.Date(2023, 12, 28, 0, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(37*time.Hour + 11*time.Minute) {
			texts = append(texts, at.Format(reference))
			want = append(want, at.Format("2006-01-02 15:04:05"))
		}
		for i, got := range readTimes(t, st, []string{format}, texts...) {
			if got != want[i] {
				t.Errorf("%s: %q is %q, want %q", format, texts[i], got, want[i])
			}
		}
	}
}
