package invent

import (
	"slices"
	"strings"
	"time"

	"golang.org/x/text/encoding/charmap"
)

// program is a program with names, codes and shapes of its own for what it exports, which a layout must tell. A file of it may
// hold rows of several tables, told apart by the column kindHeader; a wide one has a column for each quantity.
type program struct {
	stem    string // what its files' names begin with
	dialect dialect
	times   string // dialect.layout in strptime tokens, or a word of a layout
	shapes  []shape
	missing string // what stands for an empty cell
	notes   string // a comment for the layout
}

// shape is how a program shows one table.
type shape struct {
	table   string
	kind    string // what the column kindHeader says of its rows, empty where the file holds no other
	columns []shownColumn
}

// shownColumn is a column of a table under a program's headers: two, parted at the first blank, are a date and a time. Codes are
// the program's words for the contract's.
type shownColumn struct {
	column  string
	headers []string
	codes   map[string]string
}

const kindHeader = "Entry"

func shows(column string, headers ...string) shownColumn { return shownColumn{column, headers, nil} }

func (c shownColumn) as(pairs ...string) shownColumn {
	c.codes = map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		c.codes[pairs[i]] = pairs[i+1]
	}
	return c
}

const (
	halfDays = "01/02/2006 03:04:05 PM"
	dotted   = "02.01.2006 15:04:05"
)

// programs by table and by the base or device whose records they export; what is not here bears canonical names.
var programs = map[string]*program{
	"transports/base-umberlock": &runLog,
	"cylinders/base-fenquill":   &bottles, "cylinders/base-stellorin": &bottles,
	"settings/V2": &changes,
	"alarms/V4":   &deviceEvents, "power/V4": &deviceEvents, "alarms/V1": &deviceEvents, "power/V1": &deviceEvents,
	"readings/V1": &trend, "readings/V2": &trend, "readings/V3": &trend, "readings/more": &trend,
	"readings/M2": &vitals, "readings/M3": &vitals,
}

var runLog = program{stem: "dispatch", times: "%d.%m.%Y %H:%M:%S", missing: "-",
	dialect: dialect{comma: ';', crlf: true, encoding: charmap.Windows1252, layout: dotted, units: map[string]shown{"weight": {"kg", 0.001, 0, 3}, "planned_duration": {"h", 1.0 / 60, 0, 4}}},
	shapes: []shape{{table: "transports", columns: []shownColumn{shows("transport_id", "Run"), shows("team", "Base"),
		shows("vehicle", "Type").as("ground", "GRD", "rotor", "HELI", "fixed_wing", "FW"), shows("urgency", "Priority").as("immediate", "STAT", "urgent", "U", "planned", "P"),
		shows("disposition", "Outcome").as("completed", "Done", "cancelled", "Stood down", "declined", "Not taken"), shows("disposition_reason", "Why"),
		shows("referring_site", "From"), shows("receiving_site", "To"), shows("called_at", "Call"), shows("delay_reason", "Held up by"), shows("accepted_at", "Go"),
		shows("departed_base_at", "Rolling"), shows("arrived_referring_at", "At sender"), shows("at_patient_at", "Bedside"), shows("departed_referring_at", "Leg out"),
		shows("arrived_receiving_at", "At receiver"), shows("handed_over_at", "Handed over"), shows("available_at", "Clear"), shows("patient_key", "MRN"),
		shows("sex", "Sex").as("female", "F", "male", "M", "undetermined", "U"), shows("gestation", "GA"), shows("birth_weight", "BW"), shows("weight", "Wt"),
		shows("age_at_call", "Age d"), shows("diagnosis", "Group"), shows("cooling", "Cooled").as("true", "Y", "false", "N"), shows("ventilator_id", "Vent"),
		shows("planned_duration", "Plan h"), shows("planned_oxygen", "Plan O2"), shows("planned_air", "Plan air"), shows("tube_confirmed", "ETT ok").as("true", "Y", "false", "N"),
		shows("intubation_attempts", "Tries"), shows("intubation_success", "ETT by us").as("true", "Y", "false", "N"), shows("intubated_after_handover", "Tubed later"),
		shows("intubated_after_for", "Tubed for"), shows("handover_structured", "Form").as("true", "Y", "false", "N"), shows("died_in_transit", "Died in transit").as("true", "Y", "false", "N"),
		shows("died_within_7_days", "Died in week").as("true", "Y", "false", "N")}}}}

var bottles = program{stem: "bottles", times: "%m/%d/%Y %I:%M:%S %p",
	dialect: dialect{comma: ',', layout: halfDays, units: pressures("psi", 1/kPaPerPsi)},
	shapes: []shape{{table: "cylinders", columns: []shownColumn{shows("transport_id", "Run"), shows("cylinder_id", "Bottle"), shows("supply", "Where").as("carried", "Sled", "vehicle", "Truck", "wall", "Wall"),
		shows("gas", "Gas").as("oxygen", "O2", "air", "AIR", "nitric_oxide", "NO"), shows("size", "Size"), shows("concentration", "Conc ppm"), shows("opened_at", "Opened"), shows("closed_at", "Shut"),
		shows("start_pressure", "Before"), shows("end_pressure", "After"), shows("start_temperature", "T before"), shows("end_temperature", "T after"), shows("start_mass", "Kg before"), shows("end_mass", "Kg after")}}}}

var changes = program{stem: "changes", times: "%m/%d/%Y %I:%M:%S %p",
	dialect: dialect{comma: '\t', layout: halfDays, units: map[string]shown{"pip": {"mbar", mbarPerWater, 0, 2}, "peep": {"mbar", mbarPerWater, 0, 2}, "inspiratory_time": {"ms", 1000, 0, 0}}},
	shapes: []shape{{table: "settings", columns: []shownColumn{shows("transport_id", "Case"), shows("device_id", "Unit"), shows("recorded_at", "Date", "Time"),
		shows("mode", "Mode").as("simv", "S-IMV", "assist_control", "A/C", "cmv", "IPPV", "cpap", "SPONT", "nippv", "NIV", "high_flow", "HF", "low_flow", "LF", "standby", "STBY"),
		shows("interface", "Patient side").as("tube", "ETT", "nasal", "Prong", "tracheostomy", "Trach"), shows("continuous_flow", "Bias flow").as("true", "ON", "false", "OFF"), shows("pip", "P1"), shows("peep", "P2"),
		shows("pressure_support", "PS"), shows("rate", "f"), shows("inspiratory_time", "Ti"), shows("flow", "Q"), shows("trigger_sensitivity", "Trig"), shows("fio2", "O2"), shows("nitric_oxide", "iNO"),
		shows("mean_airway_pressure", "P3"), shows("amplitude", "Amp"), shows("frequency", "Osc Hz")}}}}

var deviceEvents = program{stem: "events log", times: "%d.%m.%Y %H:%M:%S", notes: "one export for two tables",
	dialect: dialect{comma: '|', layout: dotted},
	shapes: []shape{
		{table: "alarms", kind: "ALARM", columns: []shownColumn{shows("transport_id", "Case"), shows("device_id", "Unit"), shows("started_at", "At"), shows("ended_at", "Until"), shows("silenced_at", "Hushed"),
			shows("condition", "What").as("pip_high", "Paw HIGH", "pip_low", "Paw LOW", "expired_tidal_volume_low", "Vte LOW", "rate_high", "Rate HIGH", "disconnection", "Circuit open", "apnea", "No breath",
				"oxygen_low", "O2 LOW", "battery_low", "Batt LOW"), shows("priority", "Class").as("high", "!!!", "medium", "!!", "low", "!"),
			shows("alarm_limit", "Set"), shows("observed", "Was"), shows("unit", "In")}},
		{table: "power", kind: "SUPPLY", columns: []shownColumn{shows("transport_id", "Case"), shows("device_id", "Unit"), shows("recorded_at", "At"),
			shows("source", "What").as("external", "DC in", "battery", "On battery", "off", "Switched off"), shows("charge", "Was"), shows("display_dimmed", "Dim").as("true", "1", "false", "0")}}}}

var trend = program{stem: "trend", times: "%m/%d/%Y %I:%M:%S %p", missing: "---", notes: "one row for each sample, one column for each quantity",
	dialect: dialect{comma: ',', layout: halfDays},
	shapes: []shape{{table: "readings", columns: append(wideKeys(), shows("pip", "Ppeak"), shows("peep", "Pexp"), shows("mean_airway_pressure", "Pmean"), shows("rate", "Ftot"), shows("expired_tidal_volume", "Vte"), shows("fio2", "O2"),
		shows("leak", "Leak"), shows("flow", "Q"), shows("spo2", "Sat"), shows("heart_rate", "HR"), shows("temperature", "Skin"), shows("blood_pressure", "MAP"))}}}

var vitals = program{stem: "vitals", times: "%d.%m.%Y %H:%M:%S", missing: "---", notes: "one row for each sample, one column for each quantity",
	dialect: dialect{comma: ';', crlf: true, layout: dotted},
	shapes:  []shape{{table: "readings", columns: append(wideKeys(), shows("spo2", "SpO2"), shows("heart_rate", "Pulse"), shows("temperature", "T skin"), shows("blood_pressure", "ABP mean"))}}}

func wideKeys() []shownColumn {
	return []shownColumn{shows("transport_id", "Case"), shows("device_id", "Unit"), shows("recorded_at", "Date", "Time")}
}

// shape is how the program shows a table.
func (p *program) shape(table string) shape {
	return p.shapes[slices.IndexFunc(p.shapes, func(s shape) bool { return s.table == table })]
}

// headers lists the headers of the program's files, each once, in order.
func (p *program) headers() []string {
	var all []string
	if len(p.shapes) > 1 {
		all = append(all, kindHeader)
	}
	for _, s := range p.shapes {
		for _, c := range s.columns {
			for _, h := range c.headers {
				if !slices.Contains(all, h) {
					all = append(all, h)
				}
			}
		}
	}
	return all
}

// cells lays one row of a table out under the program's headers.
func (f *file) cellsOf(table string, row []cell) []string {
	cells := slices.Repeat([]string{f.program.missing}, len(f.names))
	s := f.program.shape(table)
	if s.kind != "" {
		cells[0] = s.kind
	}
	for _, c := range s.columns {
		i := slices.Index(columns[table], c.column)
		if i < 0 || row[i].kind == emptyCell {
			continue
		}
		text := f.show(c.column, row[i])
		if word, ok := c.codes[text]; ok && row[i].kind == codeCell {
			text = word
		}
		f.put(cells, c, text)
	}
	return cells
}

// put writes a text under the headers of a column; what is parted into date and time is parted at the first blank.
func (f *file) put(cells []string, c shownColumn, text string) {
	parts := []string{text}
	if len(c.headers) == 2 {
		date, clock, _ := strings.Cut(text, " ")
		parts = []string{date, clock}
	}
	for i, part := range parts {
		cells[slices.Index(f.names, c.headers[i])] = part
	}
}

// sample is a row of a wide export on its way: readings of one device at one moment come one after the other.
type sample struct {
	transport, device string
	when              time.Time
	cells             []string
}

// addWide keeps a reading in its sample's row, and writes the row before where that one was another sample's. What is odd of a
// quantity's name or unit has no place here.
func (f *file) addWide(transport, device string, r reading, odd oddReading) {
	if f.sample.cells == nil || f.sample.transport != transport || f.sample.device != device || !f.sample.when.Equal(r.at) {
		f.flushSample()
		row := []cell{text(transport), text(device), at(r.at), {}, {}, {}}
		f.sample = sample{transport, device, r.at, f.cellsOf("readings", row)}
	}
	value := decimal(r.value, int(r.places))
	if odd.part == oddValue {
		value = odd.text
	}
	s := f.program.shape("readings")
	if i := slices.IndexFunc(s.columns, func(c shownColumn) bool { return c.column == r.quantity }); i >= 0 {
		f.put(f.sample.cells, s.columns[i], value)
	}
}

// flushSample writes the sample that is under way; the csv writer keeps the first error for close.
func (f *file) flushSample() {
	if f.sample.cells != nil {
		_ = f.csv.Write(f.sample.cells)
		f.rows["readings"]++
		f.sample.cells = nil
	}
}

// wide says that the program has a column for each quantity.
func (p *program) wide() bool {
	return p != nil && p.shapes[0].table == "readings"
}
