package queries

import (
	"fmt"
	"maps"
	"slices"
	"testing"
)

// alarm adds one alarm of device V; an end before its start means that none is recorded.
func (f *fixture) alarm(id string, started, ended float64, more cells) {
	f.t.Helper()
	row := cells{"trip": q(id), "device_id": q("V"), "started_at": at(started), "condition": q("apnea")}
	if ended >= started {
		row["ended_at"] = at(ended)
	}
	for k, v := range more {
		row[k] = v
	}
	f.add("alarms", row)
}

func (f *fixture) reading(id, device string, minute float64, quantity string, value string) {
	f.t.Helper()
	f.add("readings", cells{"trip": q(id), "device_id": q(device), "recorded_at": at(minute), "quantity": q(quantity), "value": value})
}

// sampled adds readings of one moment and the device V, by quantity: as a sample, or alone each.
func (f *fixture) sampled(alone bool, id string, minute float64, values cells) {
	f.t.Helper()
	if alone {
		for _, quantity := range slices.Sorted(maps.Keys(values)) {
			f.reading(id, "V", minute, quantity, values[quantity])
		}
		return
	}
	row := cells{"transport_id": q(id), "trip": q(id), "device_id": q("V"), "recorded_at": at(minute), "held": fmt.Sprint(len(values))}
	maps.Copy(row, values)
	f.add("sampled_readings", row)
}

const unended = -1e6

func TestAlarmRates(t *testing.T) {
	f := newFixture(t)
	// V: setting at 60, reading at 120, alarm 150–180: monitored 60–180, 2 h. M: readings 90 and 120, 0.5 h, no alarm.
	f.trip("A", nil)
	f.setting("A", 60, "cpap", "nasal")
	f.reading("A", "V", 120, "spo2", "90")
	f.alarm("A", 150, 180, cells{"priority": q("high")})
	f.alarm("A", 100, unended, cells{"priority": q("low")})
	f.reading("A", "M", 90, "heart_rate", "150")
	f.reading("A", "M", 120, "heart_rate", "150")
	// The window's own edges (-30 and 270) count: 5 h. What lies outside them does not: an alarm begun before is out whole;
	// one that ends after is an onset, but its end adds no monitored time.
	f.trip("B", nil)
	f.reading("B", "V", -30, "spo2", "90")
	f.reading("B", "V", -31, "spo2", "90")
	f.alarm("B", -30.5, 10, nil)
	f.alarm("B", 270, 300, nil)
	f.reading("B", "V", 271, "spo2", "90")
	// An end on the edge of the widened window counts: 240 to 270.
	f.trip("edge", nil)
	f.alarm("edge", 240, 270, nil)
	// A row that names a transport not yet known is out, with its own transport's time.
	f.reading("unknown", "V", 60, "spo2", "90")
	f.alarm("unknown", 70, 80, nil)
	// A single moment: no monitored time, not in the population. Devices without a name are one device of their own.
	f.trip("C", nil)
	f.alarm("C", 70, unended, nil)
	f.trip("D", nil)
	f.reading("D", "V", 60, "spo2", "90")
	f.reading("D", "V", 120, "spo2", "90")
	f.alarm("D", 61, unended, cells{"device_id": "null"})
	f.trip("declined", cells{"disposition": q("declined")})
	f.reading("declined", "V", 60, "spo2", "90")
	f.reading("declined", "V", 120, "spo2", "90")
	f.want("alarms_per_hour", map[string]string{
		"A": "2.0/2.5", "B": "1.0/5.0", "D": "1.0/1.0", "edge": "1.0/0.5",
	})
	f.want("high_priority_alarms_per_hour", map[string]string{
		"A": "1.0/2.5", "B": "0.0/5.0", "D": "0.0/1.0", "edge": "0.0/0.5",
	})
}

func TestAlarmingTimeIsAUnion(t *testing.T) {
	f := newFixture(t)
	// Monitored 60–180. Alarms 70–100, 80–90 inside it, 95–110 over its end, 100 without an end, 120–126: 40 + 6 min.
	f.trip("A", nil)
	f.reading("A", "V", 60, "spo2", "90")
	f.reading("A", "V", 180, "spo2", "90")
	f.alarm("A", 70, 100, nil)
	f.alarm("A", 80, 90, cells{"condition": q("leak")})
	f.alarm("A", 95, 110, cells{"condition": q("spo2_low")})
	f.alarm("A", 100, unended, cells{"condition": q("pip_low")})
	f.alarm("A", 120, 126, nil)
	// Another device's alarm at the same time adds its own time: 6 min of its 0.5 h.
	f.reading("A", "M", 70, "spo2", "90")
	f.reading("A", "M", 100, "spo2", "90")
	f.alarm("A", 80, 86, cells{"device_id": q("M")})
	// An alarm that ends outside the widened window sounds to the end of monitored time: 260 to 270, in 200 to 270.
	f.trip("B", nil)
	f.reading("B", "V", 200, "spo2", "90")
	f.alarm("B", 260, 280, nil)
	f.reading("B", "V", 270, "spo2", "90")
	f.want("alarming_time", map[string]string{"A": "0.866667/2.5", "B": "0.166667/1.166667"})
}

func TestRepeats(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	f.alarm("A", 60, 61, nil)                                   // first
	f.alarm("A", 61.99, 63, nil)                                // 59.4 s after its end: a repeat
	f.alarm("A", 64, 65, nil)                                   // exactly 60 s: none
	f.alarm("A", 65.5, 66, cells{"condition": q("leak")})       // another condition: none
	f.alarm("A", 65.6, 66, cells{"device_id": q("M")})          // another device: none
	f.alarm("A", 80, 100, nil)                                  // long after: none
	f.alarm("A", 81, unended, nil)                              // before the end of an earlier one: a repeat
	f.alarm("A", 100.5, 101, nil)                               // 30 s after the one that ended last, not the one begun last: a repeat
	f.alarm("A", 120, unended, cells{"condition": q("leak")})   // a missing end is its start
	f.alarm("A", 120.9, unended, cells{"condition": q("leak")}) // 54 s later: a repeat
	f.alarm("A", 130, unended, cells{"condition": q("leak")})
	f.alarm("A", 130, unended, cells{"condition": q("leak")}) // at the same moment: a repeat of the earlier record
	f.reading("A", "M", 70, "spo2", "90")
	// V: 11 onsets, 5 repeats; M: one onset, none.
	f.want("repeat_alarms", map[string]string{"A": "5.0/12.0"})
}
