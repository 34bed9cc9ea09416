package reports

import (
	"fmt"

	"tripwake/queries/measures"
)

// checkItem is one item of a reporting guideline: what it asks in our words, and where it stands. Authors marks what nobody but the
// authors can write.
type checkItem struct {
	number, asks, where string
	authors             bool
}

// byAuthors stands where a report cannot answer.
const byAuthors = "Authors"

// checklist says where each item of STROBE for cohort studies (von Elm E and others, PLoS Med 2007;4:e296) and of its extension
// RECORD for routinely collected data (Benchimol EI and others, PLoS Med 2015;12:e1001885) stands in this report.
func checklist(c measures.Comparison) table {
	t := table{Caption: "STROBE (plain numbers) and RECORD (R), each item in short", Class: "wordy checklist", Head: columns("Item", "What readers need", "Where it is")}
	for _, part := range []struct {
		heading string
		items   []checkItem
	}{{"Title, summary, introduction", openingItems}, {"Methods", methodItems(c)}, {"Results", resultItems(c)}, {"Discussion and the rest", closingItems}} {
		t.part(part.heading)
		for _, i := range part.items {
			where := i.where
			if i.authors {
				where = byAuthors + joinedWhere(where)
			}
			t.add("", i.number, i.asks, where)
		}
	}
	return t
}

func joinedWhere(where string) string {
	if where == "" {
		return ""
	}
	return ": " + where
}

var openingItems = []checkItem{
	{"1", "Title and summary name the design and give the main result", "the design is a retrospective cohort from routine records", true},
	{"R1", "Title or summary name the kind of data, the place, the time, and any linkage", "data: exports of dispatch, devices and events of one team, linked by device and time", true},
	{"2", "Why the question matters, and what is known", "", true},
	{"3", "Aims, and hypotheses set down beforehand", "the outcomes that the settings name are listed under Each outcome", true},
}

func methodItems(c measures.Comparison) []checkItem {
	adjusted := "The models under Each outcome, with what they adjust for"
	if len(c.Study.AdjustFor) == 0 {
		adjusted = "Nothing is adjusted for: the settings name nothing"
	}
	return []checkItem{
		{"4", "Design, early on", "How they are made", false},
		{"5", "Setting, places, and dates of recruitment and follow-up", "Months under the title; places are left out here on purpose", true},
		{"6", "Who could be in, how they were found, how they were followed", "Who is in the cohort: rules and groups", false},
		{"R6.1", "Rules or codes that select people, in full", "Who is in the cohort: rules, as the settings hold them", false},
		{"R6.2", "Whether the way of selecting was checked", "Records are refused or flagged by fixed rules; a check against charts is the authors'", true},
		{"R6.3", "A diagram of linkage", "Who is in the cohort: diagram; the rate of linkage is the measure record_linked of the committee's report", false},
		{"7", "Outcomes, exposures and what may confound them, each defined", "Each outcome, The groups compared; every column is defined in the codebook of the extract", false},
		{"R7", "All codes that make exposures, outcomes and confounders", "As 7", false},
		{"8", "Source and way of measuring of each", "As 7; devices and clocks are the authors' to describe", true},
		{"9", "What was done against bias", "What these numbers cannot say", true},
		{"10", "How the size came about", "All transports of the months: no size was planned", true},
		{"11", "How numbers were handled, and why groups were cut so", "Who is in the cohort: groups; numbers enter models as they are", false},
		{"12a", "Statistics, with what was done about confounding", adjusted, false},
		{"12b", "Subgroups and interactions", "None are looked at", false},
		{"12c", "Missing data", "Complete cases; how many are left out stands beside each", false},
		{"12d", "Loss to follow-up", "Time to escalation ends with support; outcomes after hand-over are as recorded", false},
		{"12e", "Sensitivity analyses", "Without one exclusion", false},
		{"R12.1", "Who had access to the source", "", true},
		{"R12.2", "How data were cleaned", "How they are made; the ledger lists each refused row", false},
		{"R12.3", "How records were linked, and how well", "By device and time within the trip's window; rate as R6.3", false},
	}
}

func resultItems(c measures.Comparison) []checkItem {
	compared := func(where string) string {
		if c.None != "" {
			return "Not told: " + c.None
		}
		return where
	}
	return []checkItem{
		{"13", "Numbers at each stage, with reasons, as a diagram", "Who is in the cohort", false},
		{"R13", "Selection of people by data quality, availability and linkage", "Who is in the cohort: rows refused and corrected, then rules", false},
		{"14", "Traits of those studied, with what is missing, and follow-up", compared("The groups compared; Time to escalation"), false},
		{"15", "Numbers of outcomes, over time", compared("Each outcome; Time to escalation"), false},
		{"16a", "Estimates plain and adjusted, with intervals", compared("Each outcome"), false},
		{"16b", "Limits of groups made from numbers", compared("Who is in the cohort: groups"), false},
		{"16c", "Absolute risks beside relative ones", compared("Each outcome: risk differences"), false},
		{"17", "Other analyses", compared(fmt.Sprintf("Without one exclusion: %d", len(c.Sensitivity))), false},
	}
}

var closingItems = []checkItem{
	{"18", "Main results against the aims", "", true},
	{"19", "Limits, with direction and size of bias", "some stand under What these numbers cannot say", true},
	{"R19", "Limits of data that were not made for the question: wrong codes, what is not measured, changes over time", "as 19", true},
	{"20", "A careful reading of it all", "", true},
	{"21", "To whom the results apply", "", true},
	{"22", "Funding", "", true},
	{"R22", "Where protocol, raw data and program can be had", "program version and hashes of data and settings: Where it comes from", true},
}
