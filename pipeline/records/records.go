// Package records is the contract of the records that tripwake reads, as one table.
//
// In: nothing. Out: every table with its columns, their kinds, UCUM units, codes and physical ranges, from which the
// store's schema, the checks on each cell, the help and the codebook are made. A leaf: it imports nothing of ours.
package records

// Kind says how the text of a cell is read.
type Kind string

// The kinds of column. Time is a moment (kept in UTC), Date a calendar day, Flag true or false, Code one of Column.Codes.
const (
	Text   Kind = "text"
	Code   Kind = "code"
	Time   Kind = "time"
	Date   Kind = "date"
	Number Kind = "number"
	Flag   Kind = "flag"
)

// Units that a row chooses: that of its quantity, or that of the quantity its alarm condition watches.
const (
	ByQuantity  = "by quantity"
	ByCondition = "by condition"
)

// Range is what is physically possible, both ends included, in the column's unit.
type Range struct{ Min, Max float64 }

// Column is one column of a table. Unit is UCUM, ByQuantity, ByCondition or empty; Range is nil where there is none.
type Column struct {
	Name     string
	Kind     Kind
	Unit     string
	Required bool
	Range    *Range
	Codes    []string
	Meaning  string
}

// Table is one table of records.
//
// Identifier names the column that identifies a row by itself; where it is empty, all columns together do. Log marks the
// device logs, whose rows are linked to transports by device and time; When is the column that gives a log row's moment.
// Sequence names the moments of one row in the order in which they happen.
type Table struct {
	Name       string
	Meaning    string
	Identifier string
	Log        bool
	When       string
	Sequence   []string
	Columns    []Column
}

// Tables returns every table, transports first: the order in which they are loaded and listed.
func Tables() []Table {
	return []Table{
		transports, assessments, settings, readings, alarms, cylinders, power,
		events, devices, service, checks, carried, notes,
	}
}

// Find returns the table of that name.
func Find(name string) (Table, bool) {
	for _, t := range Tables() {
		if t.Name == name {
			return t, true
		}
	}
	return Table{}, false
}

// Logs returns the device logs: the tables whose rows are linked to transports by device and time.
func Logs() []Table {
	var logs []Table
	for _, t := range Tables() {
		if t.Log {
			logs = append(logs, t)
		}
	}
	return logs
}

// Column returns the column of that name.
func (t Table) Column(name string) (Column, bool) {
	for _, c := range t.Columns {
		if c.Name == name {
			return c, true
		}
	}
	return Column{}, false
}

// Names returns the names of the table's columns, in order.
func (t Table) Names() []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

// Stamps returns the columns of transports that are moments of the trip, in the order in which they happen.
func Stamps() []string { return transports.Sequence }

func between(lo, hi float64) *Range { return &Range{lo, hi} }

func codes(names ...string) []string { return names }
