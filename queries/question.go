package queries

// shape says what the facts of a measure become in a Sum.
type shape int

const (
	counts    shape = iota // X and T alone
	values                 // Xs sorted, one for each transport
	clustered              // Xs and Ts, ordered by transport
	byDevice               // as counts; the members are devices, not transports
)

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
