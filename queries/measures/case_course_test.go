package measures

import (
	"fmt"
	"slices"
	"testing"

	"tripwake/queries"
)

func TestCaseCourses(t *testing.T) {
	low, high := 90.0, 150.0
	line := func(lane queries.Lane, name string, from, to float64) queries.CaseLine {
		return queries.CaseLine{TransportID: "A", Lane: lane, Name: name, From: from, To: to, Low: &low, High: &high}
	}
	courses := CaseCourses([]queries.CaseLine{
		line(queries.LaneLeg, "patient leg", -30, 60),
		line(queries.LaneAlarm, "spo2_low|medium", 50, 51), line(queries.LaneAlarm, "apnea|high", 52, 53), line(queries.LaneAlarm, "apnea|high", 70, 71), line(queries.LaneAlarm, "other", 75, 75),
		line(queries.LanePower, "battery", 10, 20), line(queries.LanePower, "battery", 20, 30), line(queries.LanePower, "external", 30, 40), line(queries.LanePower, "battery", 45, 50),
		line(queries.LaneSetting, "cpap, FiO2 30 %, PEEP 6.0", 12, 40), line(queries.LaneSetting, "FiO2 40 %", 40, 60),
		line(queries.LaneCylinder, "oxygen", 0, 60), line(queries.LaneEvent, "desaturation|none", 55, 55), line(queries.LaneEvent, "hypotension|severe", 56, 56),
		line(queries.LaneReading, "spo2", 10, 20), line(queries.LaneReading, "oxygen", 10, 20),
		{TransportID: "B", Lane: queries.LaneLeg, Name: "patient leg", From: 0, To: 5},
	})
	if len(courses) != 2 || courses[1].TransportID != "B" || courses[0].From != -30 || courses[0].To != 75 {
		t.Fatalf("got %+v: want A from -30 to 75, then B", courses)
	}
	var lanes, steps []string
	for _, l := range courses[0].Lanes {
		lanes = append(lanes, fmt.Sprintf("%s %d %d", l.Name, len(l.Spans), len(l.Readings)))
	}
	for _, s := range courses[0].Steps {
		steps = append(steps, s.MinuteText()+" "+s.What+" "+s.Text)
	}
	if want := []string{"Leg 1 0", "SpO2 low 1 0", "apnea 2 0", "other 1 0", "Power 3 0", "Settings 2 0", "Cylinder, oxygen 1 0", "Event 2 0", "SpO2 0 1"}; !slices.Equal(lanes, want) {
		t.Errorf("lanes: got %q, want %q", lanes, want)
	}
	want := []string{"-30 Leg patient leg", "0 Cylinder oxygen, 150 to 90 bar", "10 Power battery", "12 Settings CPAP, FiO2 30 %, PEEP 6.0", "30 Power external", "40 Settings FiO2 40 %", "45 Power battery",
		"50 Alarm SpO2 low, medium priority: 1 onset", "52 Alarm apnea, high priority: 2 onsets, this the first", "55 Event desaturation, harm none",
		"56 Event hypotension, harm severe", "75 Alarm other: 1 onset"}
	if !slices.Equal(steps, want) {
		t.Errorf("steps:\n got %q\nwant %q", steps, want)
	}
	power := courses[0].Lanes[4].Spans
	if power[0].From != 10 || power[0].To != 30 || !power[0].Strong || power[1].Strong {
		t.Errorf("got %+v: battery from 10 to 30 in one", power)
	}
}
