package queries

import "testing"

func TestAlarmAnswers(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"weight": "2000"})
	f.trip("B", nil) // without a weight a limit per kg is not known
	f.reading("A", "V", 60, "spo2", "90")
	f.reading("A", "V", 180, "spo2", "90")
	low := func(id string, start, end, silenced float64, limit, observed string) {
		f.alarm(id, start, end, cells{"condition": q("expired_tidal_volume_low"), "silenced_at": at(silenced), "alarm_limit": limit, "observed": observed})
	}
	low("A", 70, 71, 70.5, "9", "6")         // silenced after 30 s; 4.5 per kg, beyond by 1.5
	low("A", 80, 84, 85, "9", "7")           // silenced after it had ended: unanswered for 240 s; beyond by 1
	low("A", 90, unended, 92, "6.4", "null") // no end, silenced after 120 s; 3.2 per kg
	low("A", 100, 101, 99, "9", "8")         // silenced before it began: 60 s
	low("B", 70, 71, 70.5, "9", "6")
	f.reading("B", "V", 60, "spo2", "90")
	f.reading("B", "V", 180, "spo2", "90")
	f.alarm("A", 110, 111, cells{"condition": q("pip_high"), "alarm_limit": "25", "observed": "31"})
	answers, err := f.reader().AlarmAnswers(t.Context(), "", "")
	if err != nil || len(answers) != 2 {
		t.Fatalf("got %v, %v: want two conditions", answers, err)
	}
	v := answers[0]
	if v.Condition != "expired_tidal_volume_low" || v.Onsets != 5 || v.Silenced != 3 || *v.ToSilence != 30 || *v.Longest != 240 || v.LongestOn != "A" {
		t.Errorf("got %+v (silence %v, longest %v): want 5 onsets, 3 silenced after a median of 30 s, longest 240 s on A", v, *v.ToSilence, *v.Longest)
	}
	if v.Limits != 4 || *v.UsualLimit != 4.5 || *v.Beyond != 1 {
		t.Errorf("got %d limits, usual %v, beyond %v: want 4, 4.5 and 1 (of 1.5, 1 and 0.5)", v.Limits, *v.UsualLimit, *v.Beyond)
	}
	if p := answers[1]; p.Condition != "pip_high" || *p.Beyond != 6 || p.ToSilence != nil {
		t.Errorf("got %+v: a high limit of 25 against 31 is beyond by 6, and nobody silenced it", p)
	}
}
