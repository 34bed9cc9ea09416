package reports

import (
	"context"
	"math/big"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
	"tripwake/queries/measures"
)

func (f fake) AlarmGroups(_ context.Context, by, _, _ string) ([]queries.AlarmGroup, error) {
	return []queries.AlarmGroup{{Name: by + f.hostile, Onsets: 9, High: 2, Transports: 2, Sums: queries.ClusterSums{
		Clusters: 2, Hit: 2, X: big.NewInt(9), T: big.NewInt(4 * 3.6e9), XX: big.NewInt(4*4 + 5*5), XT: big.NewInt((4*2 + 5*2) * 3.6e9),
		TT: new(big.Int).Mul(big.NewInt((2*2+2*2)*3.6e9), big.NewInt(3.6e9)),
	}}}, nil
}

// AlarmMonths doubles the alarm spo2_low in the last two months.
func (f fake) AlarmMonths(context.Context, string, string) ([]queries.AlarmMonth, error) {
	var all []queries.AlarmMonth
	for i := range f.months {
		n := 10
		if i >= f.months-2 {
			n = 20
		}
		all = append(all, queries.AlarmMonth{Month: f.month(i), Condition: "spo2_low" + f.hostile, Onsets: n, High: n, Repeats: n, Hours: 10})
	}
	return all, nil
}

func (f fake) AlarmAnswers(context.Context, string, string) ([]queries.AlarmAnswer, error) {
	seconds, limit := 12.0, 4.5
	return []queries.AlarmAnswer{
		{Condition: "expired_tidal_volume_low", Onsets: 9, Silenced: 3, ToSilence: &seconds, Longest: &seconds, LongestOn: "TR-0011" + f.hostile, Limits: 9, UsualLimit: &limit, MiddleLimit: &limit},
		{Condition: "other" + f.hostile, Onsets: 1},
	}, nil
}

func (f fake) AlarmCrowds(context.Context, string, string) ([]queries.AlarmCrowd, error) {
	before := -6.0
	return []queries.AlarmCrowd{{TransportID: "TR-0012" + f.hostile, Minutes: 8, Onsets: 13, AfterLeaving: &before}, {TransportID: "TR-0013"}}, nil
}

func (f fake) AlarmDefaults(context.Context, string, string) ([]queries.AlarmDefault, error) {
	var all []queries.AlarmDefault
	for i := range f.months {
		value := 4.5
		if i >= 9 {
			value = 3.2
		}
		all = append(all, queries.AlarmDefault{Month: f.month(i), Device: "V1" + f.hostile, Condition: "expired_tidal_volume_low", Value: value, Transports: 4, Known: 4})
	}
	return all, nil
}

func (f fake) AlarmTransports(context.Context, string, string, int) ([]queries.AlarmTransport, error) {
	return []queries.AlarmTransport{{TransportID: "TR-0014" + f.hostile, Onsets: 37, Hours: 2.5, Leading: "leak" + f.hostile, OfThese: 30}}, nil
}

func (f fake) Replay(_ context.Context, g queries.Grid) ([]queries.ReplayedLimit, error) {
	var all []queries.ReplayedLimit
	for i := range g.Steps {
		all = append(all, queries.ReplayedLimit{Limit: g.Lowest + float64(i)*g.Step, Onsets: 3 * i, Transports: i, Population: 40, Hours: 100})
	}
	return all, nil
}

func (f fake) ReplayHeld(_ context.Context, _ queries.Grid, asked ...queries.HeldLimit) ([]queries.Held, error) {
	return slices.Repeat([]queries.Held{{Onsets: 12, Transports: 7, Alone: 5, AloneTransports: 4}}, len(asked)), nil
}

func (f fake) SupportClasses(context.Context, string, string) ([]queries.SupportClass, error) {
	return []queries.SupportClass{{Class: "cpap" + f.hostile, Episodes: 3, Transports: 2, Hours: 4, PassedOver: 1, ModeChanges: 2}}, nil
}

func (f fake) SupportCourses(context.Context, string, string) ([]queries.SupportCourse, error) {
	return []queries.SupportCourse{
		{TransportID: "TR-0015" + f.hostile, FirstClass: "cpap" + f.hostile, ToClass: "invasive", Minutes: 45, Escalated: true, Phase: "before leaving"},
		{TransportID: "TR-0016", FirstClass: "nippv", Minutes: 90, Phase: "never"},
	}, nil
}

func (f fake) SupportEnds(context.Context, string, string) ([]queries.SupportEnd, error) {
	return []queries.SupportEnd{{From: "cpap", To: "cpap", N: 4}, {From: "cpap", To: "invasive", N: 2}, {Place: "patient leg" + f.hostile, From: "cpap", To: "invasive", N: 2}}, nil
}

func (f fake) SetAgainstMeasured(_ context.Context, quantity, _, _ string) (queries.SetAgainstMeasured, error) {
	middle := -0.5
	return queries.SetAgainstMeasured{Quantity: quantity, Transports: 5, Hours: 10, ApartHours: 1, Middle: &middle}, nil
}

func (f fake) TidalVolumes(context.Context, string, string) (queries.RangeTime, error) {
	return queries.RangeTime{Quantity: "expired_tidal_volume", Low: 4, High: 6, Transports: 5, Hours: 10, Below: 2, Above: 1}, nil
}

func (f fake) Saturations(context.Context, string, string) (queries.RangeTime, error) {
	return queries.RangeTime{Quantity: "spo2", Low: 90, High: 95}, nil
}

func (f fake) Exposures(context.Context, string, string) (queries.Exposure, error) {
	return queries.Exposure{Transports: 5, Hours: 10}, nil
}

// A change of the usual limit is a sentence in the section, a numbered change in the list that goes on after the team's own,
// and a flag on the alarm chart; other sections do not carry it.
func TestDefaultChangeIsTold(t *testing.T) {
	doc := cached(t, "")
	for _, want := range []string{
		`<th scope="row">expired tidal volume low</th><td>from 4.5 to 3.2 mL/kg</td><td>October 2025 on V1</td>`,
		"Found in the alarm log: usual limit of the alarm expired tidal volume low",
		`<th scope="row">4</th><td>2025-10</td><td>Alarms</td>`,
	} {
		if !strings.Contains(doc, want) {
			t.Errorf("missing: %s", want)
		}
	}
	chart := func(id string) string {
		from := strings.Index(doc, `<article class="measure" id="`+id+`"`)
		if from < 0 {
			t.Fatalf("no measure %s", id)
		}
		return doc[from : from+strings.Index(doc[from:], "</article>")]
	}
	if !strings.Contains(chart("measure-alarms-per-hour"), `<span class="flag">4</span>`) || strings.Contains(chart("measure-conversions"), `<span class="flag">4</span>`) {
		t.Error("the alarm chart carries the flag, that of conversions does not")
	}
}

// The replay never advises, says on what it rests, and names the limit in force.
func TestReplayIsEvidenceAlone(t *testing.T) {
	doc := cached(t, "")
	for _, want := range []string{"no advice: a limit also depends on the patient", "3.2 mL/kg, usual now", "4.5 mL/kg, usual before",
		"Excursions beyond 3.5 mL/kg that never came beyond 3.2 mL/kg: 5, on 4 transports.", "With a delay of 15 s the limit of 3.2 mL/kg would have given 12 onsets on 7 transports."} {
		if !strings.Contains(doc, want) {
			t.Errorf("missing: %s", want)
		}
	}
	for _, never := range []string{"should be set", "recommend"} {
		if strings.Contains(doc, never) {
			t.Errorf("the report says %q", never)
		}
	}
}

// Without alarms, readings and support the sections say so and still stand.
func TestNothingHeardNothingGiven(t *testing.T) {
	for text, fig := range map[string]figure{
		"No alarm was recorded in monitored time.":       answersFigure(Input{}, facts{}),
		"No alarm began in monitored time this month.":   loudestFigure(Input{}, facts{}),
		"No usual limit became another in these months.": defaultsFigure(Input{}, facts{}),
		"No support was recorded under way.":             classesFigure(facts{}),
	} {
		if len(fig.Remarks) != 1 || fig.Remarks[0] != text || len(fig.Table.Rows) != 0 {
			t.Errorf("%s: got %q and %d rows", text, fig.Remarks, len(fig.Table.Rows))
		}
	}
	a := &artist{}
	for _, make := range append(a.alarmFigures(Input{})[:1], a.supportFigures(Input{})[1:3]...) {
		if fig, err := make(facts{}); err != nil || fig.Drawing != "" || len(fig.Remarks) == 0 {
			t.Errorf("got %q, %v: a figure of nothing says so", fig.Remarks, err)
		}
	}
}

func (f fake) CaseTimelines(_ context.Context, transports []string) ([]queries.CaseLine, error) {
	low, high := 20.0, 31.0
	var all []queries.CaseLine
	for _, id := range transports {
		all = append(all,
			queries.CaseLine{TransportID: id, Lane: queries.LaneLeg, Name: "patient leg", From: 0, To: 90},
			queries.CaseLine{TransportID: id, Lane: queries.LaneAlarm, Name: "pip_high" + f.hostile + "|high", From: 20, To: 21, Low: &low, High: &high},
			queries.CaseLine{TransportID: id, Lane: queries.LaneCylinder, Name: "oxygen", From: 0, To: 90, Low: &low, High: &high},
			queries.CaseLine{TransportID: id, Lane: queries.LaneEvent, Name: "desaturation|mild", From: 30, To: 30},
			queries.CaseLine{TransportID: id, Lane: queries.LaneReading, Name: "pip", From: 20, To: 22, Low: &low, High: &high})
	}
	return all, nil
}

// Every case list leads to a page of the same document, and the page names the transport as the list does.
func TestCaseListsLeadToPages(t *testing.T) {
	doc := cached(t, "")
	found := map[string]bool{}
	for _, e := range elements(t, doc) {
		if e.name == "h3" && strings.HasPrefix(e.attr["id"], "case-") {
			found[e.attr["id"]] = false
		}
	}
	for _, e := range elements(t, doc) {
		if target, ok := strings.CutPrefix(e.attr["href"], "#case-"); ok {
			if _, there := found["case-"+target]; !there {
				t.Errorf("a list leads to #case-%s, which is not there", target)
			}
			found["case-"+target] = true
		}
	}
	if len(found) != 6 { // a case to read, one of a signal, two behind a default of which one is loud, two floods
		t.Errorf("got %d pages, want 6", len(found))
	}
	for id, led := range found {
		if !led {
			t.Errorf("no list leads to %s", id)
		}
	}
	for _, want := range []string{"Why it is here: death under way.", "Flagged rows: clock repeated of transports (1); outside window of readings (12).", "No row of it bears a flag.", "among the loudest, 37 alarm onsets", "oxygen, 31 to 20 bar", "desaturation, harm mild", "PIP high, high priority: 1 onset"} {
		if !strings.Contains(doc, want) {
			t.Errorf("missing: %s", want)
		}
	}
	if strings.Contains(doc, "TR-0014") {
		t.Error("a transport stands under its own name")
	}
}

func (f fake) AlarmMakers(_ context.Context, _, month, _ string, _ int) ([]queries.AlarmMaker, error) {
	return []queries.AlarmMaker{{TransportID: "TR-0014" + f.hostile, Month: month, Onsets: 30}, {TransportID: "TR-0021" + f.hostile, Month: month, Onsets: 1}}, nil
}

func (f fake) CaseFlags(_ context.Context, transports []string) ([]queries.CaseFlag, error) {
	return []queries.CaseFlag{{TransportID: transports[0], Table: "transports", Flag: "clock_repeated", Rows: 1},
		{TransportID: transports[0], Table: "readings", Flag: "outside_window" + f.hostile, Rows: 12}}, nil
}

// A device keeps the name that the team gave it, whatever it looks like.
func TestNamesOfDevicesAreNoCodes(t *testing.T) {
	for by, want := range map[string]string{"device": "spo2_low", "condition": "SpO2 low"} {
		if got := (alarmGrouping{by: by}).nameOf("spo2_low"); got != want {
			t.Errorf("by %s: got %q, want %q", by, got, want)
		}
	}
	text, code := queries.ResearchColumn{Kind: queries.TextColumn}, queries.ResearchColumn{Kind: queries.CodeColumn}
	if measures.LevelWords(text, "fixed_wing") != "fixed_wing" || measures.LevelWords(code, "fixed_wing") != "fixed wing" {
		t.Error("texts of the records stay, codes become words")
	}
}
