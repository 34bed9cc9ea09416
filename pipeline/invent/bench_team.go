package invent

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// BenchLayout is the layout by which the exports of WriteTeam are loaded.
const BenchLayout = `sources:
  - files: "trend*.csv"
    table: readings
    time_format: "%m/%d/%Y %H:%M:%S"
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {pip: {from: Ppeak, unit: mbar}, peep: {from: PEEP, unit: mbar}, mean_airway_pressure: {from: Pmean, unit: mbar}, rate: Ftot,
      expired_tidal_volume: Vte, minute_volume: MVe, leak: Leak, fio2: O2, spo2: SpO2, heart_rate: Pulse}
`

// benchTrips is how many trips a ventilator of WriteTeam's team has in a month at most, so that they are hours apart.
const benchTrips = 40

// benchDay is the first day of the exports of WriteTeam.
var benchDay = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)

// WriteTeam writes the exports of a team for load tests: for each month a file of transports, one of alarms and a trend with a row
// each 10 s and ten quantities in it, in which no row names its transport. The transports are spread over the months evenly; times
// are in UTC. Files of the last month go to the folder named next, all others to the folder named past, both below dir.
func WriteTeam(dir string, transports, months int, seed uint64) error {
	if transports < 1 || months < 2 {
		return errors.New("a team for load tests: expected at least one transport and two months")
	}
	for month := range months {
		folder := filepath.Join(dir, "past")
		if month == months-1 {
			folder = filepath.Join(dir, "next")
		}
		if err := os.MkdirAll(folder, 0o700); err != nil {
			return err
		}
		m := benchMonth{devices: 1 + transports/months/benchTrips, rolls: newDice(seed, streamBench, 2+month), from: benchDay.AddDate(0, month, 0), to: benchDay.AddDate(0, month+1, 0)}
		if err := m.write(folder, transports*month/months, transports*(month+1)/months); err != nil {
			return err
		}
	}
	return nil
}

type benchMonth struct {
	rolls                     dice
	devices                   int
	from, to                  time.Time
	transports, alarms, trend *bufio.Writer
}

func (m *benchMonth) write(folder string, first, end int) (err error) {
	name := m.from.Format("2006-01") + ".csv"
	for stem, into := range map[string]**bufio.Writer{"transports-": &m.transports, "alarms-": &m.alarms, "trend ": &m.trend} {
		f, openError := os.OpenFile(filepath.Join(folder, stem+name), os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
		if openError != nil {
			return openError
		}
		w := bufio.NewWriterSize(f, 1<<18)
		*into = w
		defer func() { err = errors.Join(err, w.Flush(), f.Close()) }()
	}
	_, _ = m.transports.WriteString("transport_id,vehicle,urgency,disposition,ventilator_id,called_at,accepted_at,departed_base_at,arrived_referring_at,at_patient_at,departed_referring_at,arrived_receiving_at,handed_over_at,available_at\n")
	_, _ = m.alarms.WriteString("device_id,started_at,ended_at,condition,priority\n")
	_, _ = m.trend.WriteString("Unit,Date,Time,Ppeak,PEEP,Pmean,Ftot,Vte,MVe,Leak,O2,SpO2,Pulse\n")
	gap := m.to.Sub(m.from.Add(12*time.Hour)) / time.Duration((end-first+m.devices-1)/m.devices+1) // between trips of a device
	for n := first; n < end; n++ {
		m.trip(n, m.from.Add(time.Hour+time.Duration((n-first)/m.devices)*gap))
	}
	return nil // writers keep their error to the end
}

// trip writes one transport with what its ventilator logged; each tenth ventilator is tried out hours later, which is nobody's.
func (m *benchMonth) trip(n int, call time.Time) {
	device := "V" + strconv.Itoa(1+n%m.devices)
	stamps, at := []byte(nil), call
	var times []time.Time
	for _, minutes := range []int{0, 4, 20, 35, 5, 50, 40, 15, 20} {
		at = at.Add(time.Duration(minutes)*time.Minute + time.Duration(m.rolls.IntN(600))*time.Second)
		times = append(times, at)
		stamps = at.AppendFormat(append(stamps, ','), time.DateTime)
	}
	urgency := []string{"immediate", "urgent", "planned"}[n%3]
	fmt.Fprintf(m.transports, "%s,%s,%s,completed,%s%s\n", identifier(n), []string{"ground", "rotor"}[n%2], urgency, device, stamps)
	m.readings(device, times[4], times[7])
	for range m.rolls.IntN(8) {
		start := times[4].Add(time.Duration(m.rolls.IntN(int(times[7].Sub(times[4])/time.Second))) * time.Second)
		fmt.Fprintf(m.alarms, "%s,%s,%s,%s,%s\n", device, start.Format(time.DateTime), start.Add(time.Duration(5+m.rolls.IntN(60))*time.Second).Format(time.DateTime),
			[]string{"pip_high", "leak", "spo2_low"}[m.rolls.IntN(3)], []string{"high", "medium", "low"}[m.rolls.IntN(3)])
	}
	if n%10 == 0 {
		m.readings(device, times[8].Add(3*time.Hour), times[8].Add(3*time.Hour+5*time.Minute))
	}
}

// readings writes a row each 10 s; about one cell in 50 is empty.
func (m *benchMonth) readings(device string, from, to time.Time) {
	var l []byte
	for at := from; !at.After(to); at = at.Add(10 * time.Second) {
		l = append(append(l[:0], device...), ',')
		l = at.AppendFormat(l, "01/02/2006,15:04:05")
		for _, q := range wideQuantities {
			l = append(l, ',')
			if m.rolls.IntN(50) > 0 {
				l = strconv.AppendFloat(l, q.middle+q.spread*(m.rolls.Float64()-0.5), 'f', q.places, 64)
			}
		}
		_, _ = m.trend.Write(append(l, '\n'))
	}
}
