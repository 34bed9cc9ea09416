package invent

import (
	"math"
	"strconv"
	"time"
)

// columns are the canonical columns of every table, in the order in which they are written.
var columns = map[string][]string{
	"transports": {"transport_id", "team", "vehicle", "urgency", "disposition", "disposition_reason", "referring_site",
		"receiving_site", "called_at", "delay_reason", "accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at",
		"departed_referring_at", "arrived_receiving_at", "handed_over_at", "available_at", "patient_key", "sex", "gestation",
		"birth_weight", "weight", "age_at_call", "diagnosis", "cooling", "ventilator_id", "planned_duration", "planned_oxygen",
		"planned_air", "tube_confirmed", "intubation_attempts", "intubation_success", "intubated_after_handover",
		"intubated_after_for", "handover_structured", "died_in_transit", "died_within_7_days"},
	"assessments": {"transport_id", "stage", "recorded_at", "temperature", "respiratory_status", "respiratory_rate", "heart_rate",
		"spo2", "fio2", "systolic_pressure", "response", "mean_airway_pressure", "ph", "pco2", "po2", "glucose"},
	"settings": {"transport_id", "device_id", "recorded_at", "mode", "interface", "continuous_flow", "pip", "peep",
		"pressure_support", "rate", "inspiratory_time", "flow", "trigger_sensitivity", "fio2", "nitric_oxide",
		"mean_airway_pressure", "amplitude", "frequency"},
	"readings": {"transport_id", "device_id", "recorded_at", "quantity", "value", "unit"},
	"alarms": {"transport_id", "device_id", "started_at", "ended_at", "silenced_at", "condition", "priority", "alarm_limit",
		"observed", "unit"},
	"cylinders": {"transport_id", "cylinder_id", "supply", "gas", "size", "concentration", "opened_at", "closed_at",
		"start_pressure", "end_pressure", "start_temperature", "end_temperature", "start_mass", "end_mass"},
	"power":  {"transport_id", "device_id", "recorded_at", "source", "charge", "display_dimmed"},
	"events": {"event_id", "transport_id", "recorded_at", "kind", "harm", "preventable", "device_id", "narrative"},
	"devices": {"device_id", "kind", "in_service_on", "retired_on", "purchase_cost", "battery_endurance",
		"battery_endurance_display_dimmed"},
	"service": {"device_id", "removed_at", "returned_at", "reason", "cost"},
	"checks":  {"transport_id", "device_id", "recorded_at", "kind", "result"},
	"carried": {"transport_id", "device_id"},
	"notes":   {"noted_on", "measure", "kind", "text", "owner", "closed_on"},
}

type cellKind uint8

const (
	emptyCell cellKind = iota
	textCell
	codeCell
	numberCell
	timeCell
)

// cell is a value on its way to a file: its dialect decides how a number and a time look.
type cell struct {
	kind   cellKind
	text   string
	value  float64
	places int
	when   time.Time
}

func text(s string) cell { return filled(textCell, s) }

func code(s string) cell { return filled(codeCell, s) }

func filled(kind cellKind, s string) cell {
	if s == "" {
		return cell{}
	}
	return cell{kind: kind, text: s}
}

// num is a number with that many decimals, empty where it is not a number.
func num(v float64, places int) cell {
	if math.IsNaN(v) {
		return cell{}
	}
	return cell{kind: numberCell, value: v, places: places}
}

// some is a number that zero leaves empty.
func some(v float64, places int) cell {
	if v == 0 {
		return cell{}
	}
	return num(v, places)
}

func at(t time.Time) cell {
	if t.IsZero() {
		return cell{}
	}
	return cell{kind: timeCell, when: t}
}

func flag(b bool) cell { return code(strconv.FormatBool(b)) }

func date(t time.Time) cell { return text(t.Format(time.DateOnly)) }
