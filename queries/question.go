package queries

import (
	"fmt"
	"slices"
	"strings"
)

// shape says what the facts of a measure become in a Sum. X and T of the shapes of which nothing is listed are whole numbers.
type shape int

const (
	counts      shape = iota // X and T alone, whole numbers, one fact for each transport
	severalEach              // as counts, with several facts for a transport
	hours                    // X and T alone, with fractions
	values                   // Xs sorted, one for each transport
	clustered                // Xs and Ts, ordered by transport
	byDevice                 // as hours; the members are devices, not transports
)

// listed says what of each fact is needed beside the sums: its value, or both its numbers in order of their transports.
func (as shape) listed() string {
	switch as {
	case counts, severalEach:
		return "null"
	case values:
		return "'values'"
	default:
		return "'in order'"
	}
}

// members says what is counted once however many facts it has, where that is not the transports with one fact each.
func (as shape) members() string {
	switch as {
	case severalEach:
		return "'transports'"
	case byDevice:
		return "'devices'"
	default:
		return "null"
	}
}

// measureType is a type of the ids of all measures in their order: millions of facts are told apart by it, as numbers.
func measureType() string {
	var ids []string
	for _, q := range questions() {
		for measure := range q.measures {
			ids = append(ids, literal(measure))
		}
	}
	slices.Sort(ids)
	return fmt.Sprintf("create temp type if not exists fact_measure as enum (%s)", strings.Join(ids, ", "))
}

// shapeTable makes the shapes known to SQL.
func shapeTable() string {
	var rows []string
	for _, q := range questions() {
		for measure, as := range q.measures {
			rows = append(rows, fmt.Sprintf("(%s, %s, %s)", literal(measure), as.listed(), as.members()))
		}
	}
	slices.Sort(rows)
	return valuesTable("fact_shapes", "measure fact_measure, listed varchar, members varchar", rows)
}

// question is one SQL text that gives facts about measures.
//
// Its columns are those of the table facts: measure, transport_id, device, month, x, t, left_out. A member that cannot be
// judged has left_out filled and x empty; t then says how many members the row stands for, empty for one. device and
// month are filled only where the fact's own ones count instead of its transport's.
type question struct {
	name     string
	text     string
	measures map[string]shape
	period   bool // the facts depend on the period asked: parameters $first and $last
}

// questions lists every question that gives facts.
func questions() []question {
	return []question{
		intervals, arrivalConditions, arrivalVentilation, airway, harm, extubations, outcomes,
		alarmRates, alarmFloods, supportChanges, gasPlans, gasPerHour, oxygenReserve, batteryUse,
		leakChecks, deviceFailures, demands, recordLinks,
	}
}

// questionOf finds the question that answers a measure.
func questionOf(measure string) (question, bool) {
	for _, q := range questions() {
		if _, ok := q.measures[measure]; ok {
			return q, true
		}
	}
	return question{}, false
}
