package invent

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"time"
)

// benchQuantities are the quantities of WriteReadings with a plausible middle, a spread and decimals.
var benchQuantities = []struct {
	name           string
	middle, spread float64
	places         int
}{{"pip", 19, 4, 0}, {"mean_airway_pressure", 9.5, 2, 1}, {"rate", 44, 8, 0}, {"expired_tidal_volume", 11.4, 3, 1},
	{"spo2", 94, 3, 0}, {"heart_rate", 142, 15, 0}}

// benchTrip is how many samples (of all quantities) one transport has in WriteReadings, 10 s apart: three hours.
const benchTrip = 3 * 360

// WriteReadings writes one canonical readings export for load tests: the header and exactly that many rows, comma, UTF-8,
// LF, local times, units empty, five devices (V1 to V5) whose transports follow one another. Every second transport's rows
// bear its id (T000001 and on), the others none. Rows below 0 are refused; errors are the writer's.
func WriteReadings(w io.Writer, rows int, seed uint64) error {
	if rows < 0 {
		return fmt.Errorf("rows: expected 0 or more, got %d", rows)
	}
	out := bufio.NewWriterSize(w, 1<<18)
	if _, err := out.WriteString("transport_id,device_id,recorded_at,quantity,value,unit\n"); err != nil {
		return err
	}
	b := benchLog{rolls: newDice(seed, streamBench, 0), start: time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)}
	for n := range rows {
		b.row(n)
		if _, err := out.Write(b.line); err != nil {
			return err
		}
	}
	return out.Flush()
}

type benchLog struct {
	rolls dice
	start time.Time
	line  []byte
	stamp []byte
	id    string
}

// row makes the n-th row; what it shares with the row before is kept.
func (b *benchLog) row(n int) {
	sample, q := n/len(benchQuantities), benchQuantities[n%len(benchQuantities)]
	trip := sample / benchTrip
	if n%len(benchQuantities) == 0 {
		b.stamp = b.at(trip, sample).AppendFormat(b.stamp[:0], localSpace)
		b.id = ""
		if trip%2 == 0 {
			b.id = identifier(trip)
		}
	}
	l := append(append(b.line[:0], b.id...), ",V"...)
	l = append(append(append(l, byte('1'+trip%5)), ','), b.stamp...)
	l = append(append(append(l, ','), q.name...), ',')
	l = strconv.AppendFloat(l, q.middle+q.spread*(b.rolls.Float64()-0.5), 'f', q.places, 64)
	b.line = append(l, ",\n"...)
}

// wideHeaders are the headers of WriteWide, a ventilator's trend with one column for each quantity; the names are invented.
const wideHeaders = "Unit,Date,Time,Ppeak,PEEP,Pmean,Ftot,Vte mL,MVe,Leak,O2 set,SpO2,Pulse\n"

// wideQuantities are the columns after those of unit and time: a middle, a spread, decimals.
var wideQuantities = []struct {
	middle, spread float64
	places         int
}{{19, 4, 0}, {5, 1, 0}, {9.5, 2, 1}, {44, 8, 0}, {11.4, 3, 1}, {0.5, 0.1, 2}, {8, 6, 0}, {40, 20, 0}, {94, 3, 0}, {142, 15, 0}}

// WideLayout is the layout by which an export of WriteWide is loaded, where its name begins with trend.
const WideLayout = `sources:
  - files: "trend*.csv"
    table: readings
    time_format: "%m/%d/%Y %H:%M:%S"
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {pip: Ppeak, peep: PEEP, mean_airway_pressure: Pmean, rate: Ftot, expired_tidal_volume: Vte mL, minute_volume: MVe,
      leak: Leak, fio2: O2 set, spo2: SpO2, heart_rate: Pulse}
`

// WriteWide writes one export of readings for load tests in which each row holds ten, one column for each quantity: the header
// and exactly that many rows, comma, UTF-8, LF, date and time in two columns, five devices whose transports follow one
// another as those of WriteReadings. About one cell in 50 is empty. Rows below 0 are refused; errors are the writer's.
func WriteWide(w io.Writer, rows int, seed uint64) error {
	if rows < 0 {
		return fmt.Errorf("rows: expected 0 or more, got %d", rows)
	}
	out := bufio.NewWriterSize(w, 1<<18)
	if _, err := out.WriteString(wideHeaders); err != nil {
		return err
	}
	b := benchLog{rolls: newDice(seed, streamBench, 1), start: time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)}
	for n := range rows {
		b.wideRow(n)
		if _, err := out.Write(b.line); err != nil {
			return err
		}
	}
	return out.Flush()
}

func (b *benchLog) wideRow(sample int) {
	trip := sample / benchTrip
	l := append(append(b.line[:0], 'V'), byte('1'+trip%5), ',')
	l = b.at(trip, sample).AppendFormat(l, "01/02/2006,15:04:05")
	for _, q := range wideQuantities {
		l = append(l, ',')
		if b.rolls.IntN(50) > 0 {
			l = strconv.AppendFloat(l, q.middle+q.spread*(b.rolls.Float64()-0.5), 'f', q.places, 64)
		}
	}
	b.line = append(l, '\n')
}

// at is the moment of a sample: five devices side by side, each with a trip every six hours.
func (b *benchLog) at(trip, sample int) time.Time {
	return b.start.Add(time.Duration(trip/5)*6*time.Hour + time.Duration(sample%benchTrip)*10*time.Second)
}
