package measures

import (
	"context"
	"encoding/csv"
	"fmt"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// history makes the usual limits of one device month by month; each word is "value×transports/known", "-" no alarm.
func history(t *testing.T, device, words string) []queries.AlarmDefault {
	t.Helper()
	var all []queries.AlarmDefault
	for i, word := range strings.Fields(words) {
		d := queries.AlarmDefault{Month: fmt.Sprintf("2025-%02d", i+1), Device: device, Condition: "spo2_low"}
		if word == "-" {
			continue
		}
		if _, err := fmt.Sscanf(word, "%fx%d/%d", &d.Value, &d.Transports, &d.Known); err != nil {
			t.Fatal(err)
		}
		all = append(all, d)
	}
	return all
}

func TestDefaultChanges(t *testing.T) {
	for words, want := range map[string]string{
		"88x4/4 88x3/3 85x4/4 85x5/5":               "88 85 2025-03",
		"88x4/4 - 85x1/1 85x5/5":                    "88 85 2025-04", // one transport is not enough to tell
		"88x4/4 88x4/4 85x4/4":                      "88 85 2025-03", // the last month: nothing speaks against it yet
		"88x4/4 88x4/4 85x4/4 88x4/4":               "",              // back in the next month: no new default
		"88x4/4 85x4/4 85x4/4 85x4/4 88x4/4 88x3/3": "88 85 2025-02,85 88 2025-05",
		"27x2/4 30x2/3 27x3/5 29x2/4 30x2/4":        "", // limits set for each patient
		"88x4/4":                                    "",
		"":                                          "",
	} {
		var got []string
		for _, c := range DefaultChanges(history(t, "V1", words)) {
			got = append(got, fmt.Sprint(c.From, " ", c.To, " ", c.Month))
		}
		if strings.Join(got, ",") != want {
			t.Errorf("%s: got %q, want %q", words, got, want)
		}
	}
}

func TestTheSameChangeOnSeveralDevices(t *testing.T) {
	both := append(history(t, "V1", "88x4/4 88x4/4 85x4/4 85x4/4"), history(t, "V2", "88x4/4 88x4/4 - 85x4/4")...)
	both = append(both, history(t, "V3", "88x4/4 88x4/4 88x4/4 88x4/4")...)
	found := DefaultChanges(both)
	if len(found) != 1 {
		t.Fatalf("got %v, want one change", found)
	}
	if got, want := found[0].Sentence(), "Usual limit of the alarm SpO2 low: from 88 to 85 %, first seen in March 2025 on V1; April 2025 on V2."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// The quantity and unit of each condition are those of the contract, with volumes per kg.
func TestConditionsHaveTheUnitOfTheirQuantity(t *testing.T) {
	file, err := os.Open("../../testdata/contract/quantities.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	asRead := strings.NewReplacer("cm[H2O]", "cmH2O", "mm[Hg]", "mmHg", "Cel", "°C")
	for _, row := range rows[1:] {
		quantity, unit := row[0], asRead.Replace(row[1])
		if quantity == "expired_tidal_volume" || quantity == "minute_volume" {
			unit += "/kg"
		}
		if got := quantityUnits[quantity]; got != "" && got != unit {
			t.Errorf("%s: unit %q, the contract says %q", quantity, got, unit)
		}
	}
	for condition, want := range map[string]string{"pip_high": "cmH2O", "oxygen_low": "%", "leak": "%", "apnea": "", "other": "", "gas_supply_low": "kPa", "battery_low": "%"} {
		if got := LimitUnit(condition); got != want {
			t.Errorf("%s: got %q, want %q", condition, got, want)
		}
	}
}

// replayer answers with as many onsets as the limit says, and keeps what it was asked.
type replayer struct {
	asked   queries.Grid
	held    []string
	nothing bool
}

func (r *replayer) Replay(_ context.Context, g queries.Grid) ([]queries.ReplayedLimit, error) {
	r.asked = g
	var all []queries.ReplayedLimit
	for i := range g.Steps {
		l := queries.ReplayedLimit{Limit: g.Lowest + float64(i)*g.Step, Onsets: i, Population: 5, Hours: 10}
		if r.nothing {
			l.Population = 0
		}
		all = append(all, l)
	}
	return all, nil
}

func (r *replayer) ReplayHeld(_ context.Context, _ queries.Grid, asked ...queries.HeldLimit) ([]queries.Held, error) {
	for _, a := range asked {
		r.held = append(r.held, fmt.Sprintf("%g %g %v", a.Limit, a.Other, a.Delay))
	}
	return make([]queries.Held, len(asked)), nil
}

func TestReplayConditionShowsTheUsualLimits(t *testing.T) {
	defaults := history(t, "V1", "88x4/4 88x4/4 85x4/4 85x4/4")
	r := &replayer{}
	got, ok, err := ReplayCondition(t.Context(), r, "spo2_low", defaults, "2025-01", "2025-04")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	if r.asked.High || r.asked.Lowest != 81 || r.asked.Steps != 9 || r.asked.From != "2025-01" {
		t.Errorf("asked %+v: want low limits from 81 to 89", r.asked)
	}
	var limits []string
	for _, l := range got.Limits {
		limits = append(limits, strings.TrimSpace(got.LimitText(l.Limit)+" "+l.Marked))
	}
	want := []string{"81 %", "82 %", "83 %", "84 %", "85 % usual now", "86 %", "87 %", "88 % usual before", "89 %"}
	if !slices.Equal(limits, want) || got.Limits[5].PerHour != 0.5 {
		t.Errorf("got %q, want %q; 5 onsets in 10 h are 0.5, got %v", limits, want, got.Limits[5].PerHour)
	}
	if want := []string{"86 85 0s", "85 86 15s"}; !slices.Equal(r.held, want) {
		t.Errorf("asked %q, want %q", r.held, want)
	}
	for _, condition := range []string{"apnea", "pip_high"} {
		if _, ok, err := ReplayCondition(t.Context(), r, condition, defaults, "", ""); ok || err != nil {
			t.Errorf("%s: got %v, %v: it has no limit to replay", condition, ok, err)
		}
	}
	if _, ok, _ := ReplayCondition(t.Context(), &replayer{nothing: true}, "spo2_low", defaults, "", ""); ok {
		t.Error("without readings there is nothing to replay")
	}
}

// inHours are sums of onsets x and monitored time t, of which t is given in hours.
func inHours(clusters, hit int, x, t, xx, xt, tt int64) queries.ClusterSums {
	const hour = queries.MicrosecondsPerHour
	return queries.ClusterSums{
		Clusters: clusters, Hit: hit, X: big.NewInt(x), T: big.NewInt(t * hour), XX: big.NewInt(xx), XT: big.NewInt(xt * hour),
		TT: new(big.Int).Mul(big.NewInt(tt*hour), big.NewInt(hour)),
	}
}

func TestAlarmRates(t *testing.T) {
	rates, err := AlarmRates([]queries.AlarmGroup{
		{Name: "V1", Onsets: 6, Sums: inHours(2, 2, 2+4, 2+2, 4+16, 4+8, 4+4)}, {Name: "V2", Onsets: 1, Sums: inHours(0, 0, 0, 0, 0, 0, 0)}, {Name: "V3", Onsets: 2, Sums: inHours(1, 1, 2, 1, 4, 2, 1)},
	})
	if err != nil {
		t.Fatal(err)
	}
	// r = 1.5; s² = 2 · ((2 − 3)² + (4 − 3)²) = 4; se/r = 2/4/1.5; 1.5 · exp(∓1.959964/3), worked out by hand.
	if got := rates[0].RateText() + " " + rates[0].IntervalText(); got != "1.50 0.78–2.88" {
		t.Errorf("got %q", got)
	}
	if rates[1].Rate != nil || rates[2].Low != nil || rates[2].RateText() != "2.00" {
		t.Errorf("got %+v: no rate without time, no interval from one transport", rates[1:])
	}
}
