package queries

import "testing"

// checks.md, Alarms: 11 onsets 30 s apart: the flood begins at the eleventh; 10: none (ANSI/ISA-18.2, IEC 62682).
func TestAlarmFlood(t *testing.T) {
	f := newFixture(t)
	burst := func(id string, n int, apart float64) {
		f.trip(id, nil)
		for i := range n {
			device := []string{"V", "M"}[i%2] // all devices of a transport together
			f.alarm(id, 60+float64(i)*apart, unended, cells{"device_id": q(device)})
		}
	}
	burst("eleven", 11, 0.5)
	burst("ten", 10, 0.5)
	burst("spread", 11, 1)     // the eleventh 10 min after the first: both ends included
	burst("wider", 11, 1.0001) // 10 min and 60 ms: ten at most
	burst("at once", 11, 0)    // no monitored time at all: not in the population
	f.trip("quiet", nil)
	f.reading("quiet", "V", 60, "spo2", "90")
	f.reading("quiet", "V", 61, "spo2", "90")
	f.want("alarm_flood", map[string]string{
		"eleven": "1.0/1.0", "ten": "0.0/1.0", "spread": "1.0/1.0", "wider": "0.0/1.0", "quiet": "0.0/1.0",
	})
}
