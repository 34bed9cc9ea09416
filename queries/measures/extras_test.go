package measures

import (
	"math"
	"slices"
	"testing"

	"tripwake/queries"
)

// Bland JM, Altman DG. Lancet 1986;1:307-310: peak flow, 17 subjects, first readings of two meters.
func TestAgreementIsThatOfBlandAndAltman(t *testing.T) {
	a := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	b := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	var plans []queries.GasPlan
	for i := range a {
		plans = append(plans, queries.GasPlan{Used: a[i], Planned: b[i]})
	}
	got, err := AgreementOf(append(plans, queries.GasPlan{Used: -3, Planned: 40}))
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "bias", got.Bias.Value, -2.11764705882, 1e-9)
	close9(t, "lower limit", got.Lower.Value, -78.0959054671, 1e-8)
	close9(t, "upper limit", got.Upper.Value, 73.8606113495, 1e-8)
	close9(t, "its interval", got.Upper.Low, 39.1049636773, 1e-7)
	if got.Log || got.LeftOut != 1 || len(got.Points) != 17 || got.Text(-78.1) != "-78 L" {
		t.Errorf("agreement %+v", got)
	}
}

// Definitions: on the log scale when spread grows with size. Half of the uses are double the plan, half are half of it.
func TestAgreementTurnsToRatiosWhenSpreadGrows(t *testing.T) {
	var plans []queries.GasPlan
	for i := 1; i <= 20; i++ {
		planned := float64(i * 50)
		plans = append(plans, queries.GasPlan{Planned: planned, Used: planned * math.Pow(2, float64(i%2*2-1))})
	}
	got, err := AgreementOf(plans)
	if err != nil || !got.Log {
		t.Fatalf("log %v, %v", got.Log, err)
	}
	close9(t, "bias", got.Bias.Value, 1, 1e-9)
	close9(t, "first point", got.Points[0].Difference, 2, 1e-12)
}

func TestAgreementOfOneTransportHasNoLimits(t *testing.T) {
	for _, plans := range [][]queries.GasPlan{nil, {{Used: 10, Planned: 10}}} {
		if got, err := AgreementOf(plans); err != nil || got.Judged {
			t.Errorf("%d plans: judged %v, %v", len(plans), got.Judged, err)
		}
	}
}

func TestActivityAddsUpTheMonth(t *testing.T) {
	counts := []queries.ActivityCount{
		{Month: "2026-03", Vehicle: "rotor", Urgency: "urgent", Disposition: "completed", N: 4},
		{Month: "2026-03", Vehicle: "ground", Urgency: "urgent", Disposition: "completed", N: 10},
		{Month: "2026-03", Vehicle: "ground", Urgency: "planned", Disposition: "declined", N: 3},
		{Month: "2026-03", Vehicle: "not recorded", Urgency: "immediate", Disposition: "cancelled", N: 1},
		{Month: "2026-02", Vehicle: "ground", Urgency: "urgent", Disposition: "completed", N: 7},
	}
	a := ActivityOf(counts, "2026-03")
	if want := (Tally{"all", 14, 1, 3, 18}); a.All != want {
		t.Errorf("all %+v, expected %+v", a.All, want)
	}
	if want := []Tally{{"ground", 10, 0, 3, 13}, {"rotor", 4, 0, 0, 4}, {"not recorded", 0, 1, 0, 1}}; !slices.Equal(a.Vehicles, want) {
		t.Errorf("vehicles %+v", a.Vehicles)
	}
	if want := []Tally{{"2026-01", 0, 0, 0, 0}, {"2026-02", 7, 0, 0, 7}}; !slices.Equal(ActivityByMonth(counts, []string{"2026-01", "2026-02"}), want) {
		t.Errorf("months %+v", ActivityByMonth(counts, []string{"2026-01", "2026-02"}))
	}
	if empty := ActivityOf(nil, "2026-03"); empty.All.All != 0 || len(empty.Vehicles) != 0 {
		t.Errorf("nothing done: %+v", empty)
	}
}

func TestGroupedKeepsTheLargestInUsualOrder(t *testing.T) {
	f := &fake{}
	for group, n := range map[string]float64{"under 28": 5, "28–31": 12, "32–36": 40, "37 and more": 60, "not recorded": 9, "empty": 0} {
		f.sums = append(f.sums, queries.Sum{Measure: "declined", Month: "all", Group: group, T: n})
	}
	rows, rest, err := Grouped(t.Context(), f, "declined", "gestation_band", "", "", 4)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, r := range rows {
		names = append(names, r.Group)
	}
	if want := []string{"28–31", "32–36", "37 and more", "not recorded"}; !slices.Equal(names, want) || rest != 1 {
		t.Errorf("groups %v, %d not kept", names, rest)
	}
}

func TestAlarmsAreRankedWithTheirShare(t *testing.T) {
	span := []queries.AlarmCondition{
		{Condition: "leak", Priority: "low", Onsets: 30}, {Condition: "apnea", Priority: "high", Onsets: 50},
		{Condition: "leak", Priority: "high", Onsets: 5}, {Condition: "other", Priority: "not recorded", Onsets: 15},
	}
	got := AlarmTallies(span, []queries.AlarmCondition{{Condition: "leak", Priority: "low", Onsets: 3}})
	want := []AlarmTally{{"apnea", 50, 0, 50, 50, 0}, {"leak", 5, 30, 35, 85, 3}, {"other", 0, 15, 15, 100, 0}}
	if !slices.Equal(got, want) || got[1].CumulativeText() != "85" {
		t.Errorf("got %+v", got)
	}
	if none := AlarmTallies(nil, nil); len(none) != 0 {
		t.Errorf("no alarms: %+v", none)
	}
}

func TestChangesAreASquareInTheOrderOfTheClasses(t *testing.T) {
	got := ChangesOf([]queries.ConversionPair{{From: "invasive", To: "cpap", Conversions: 2}, {From: "cpap", To: "nippv", Conversions: 3}})
	if want := []string{"cpap", "nippv", "invasive"}; !slices.Equal(got.Classes, want) {
		t.Fatalf("classes %v", got.Classes)
	}
	if got.Counts[2][0] != 2 || got.Counts[0][1] != 3 || got.Counts[1][1] != -1 || got.Counts[0][2] != 0 {
		t.Errorf("counts %v", got.Counts)
	}
}

func TestCasesComeGravestFirst(t *testing.T) {
	got := ByGravity([]queries.Case{{TransportID: "a", Reasons: []string{"oxygen_over_plan"}},
		{TransportID: "b", Reasons: []string{"hypothermia_on_arrival", "serious_events"}}, {TransportID: "c", Reasons: []string{"died_in_transit"}}})
	if got[0].TransportID != "c" || got[1].Reasons[0] != "serious_events" || got[2].TransportID != "a" {
		t.Errorf("got %+v", got)
	}
}

// Definitions, Gas: planned + duration effect + settings effect + unexplained = used.
func TestBridgeAddsUp(t *testing.T) {
	plans := []queries.GasPlan{
		{Month: "2026-03", Planned: 100, Used: 150, Bridge: &queries.GasBridge{DurationEffect: 30, SettingsEffect: 15, Unexplained: 5, Hindsight: 145}},
		{Month: "2026-03", Planned: 200, Used: 180, Bridge: &queries.GasBridge{DurationEffect: -40, SettingsEffect: 10, Unexplained: 10, Hindsight: 170}},
		{Month: "2026-03", Planned: 500, Used: 100}, {Month: "2026-02", Planned: 1, Used: 1, Bridge: &queries.GasBridge{}},
	}
	b := BridgeOf(plans, "2026-03")
	if want := (Bridge{2, 150, -5, 12.5, 7.5, 165}); b != want || b.Planned+b.DurationEffect+b.SettingsEffect+b.Unexplained != b.Used {
		t.Errorf("got %+v, expected %+v", b, want)
	}
	if none := BridgeOf(nil, ""); none.Text(none.Used) != "" || BridgeOf(plans, "").Transports != 3 {
		t.Errorf("no transport: %+v", none)
	}
	hindsight, err := HindsightAgreementOf(plans)
	if err != nil || len(hindsight.Points) != 2 || hindsight.LeftOut != 2 {
		t.Fatalf("hindsight %+v, %v", hindsight, err)
	}
	close9(t, "difference", hindsight.Points[0].Difference, 5, 1e-12)
}
