package reports

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// Source is what a committee report asks of package queries; *queries.Reader is one.
type Source interface {
	measures.Source
	measures.SupplySource
	AlarmSource
	CaseSource
	SupportSource
	Activity(ctx context.Context, from, to string) ([]queries.ActivityCount, error)
	AlarmConditions(ctx context.Context, from, to string) ([]queries.AlarmCondition, error)
	ConversionPairs(ctx context.Context, from, to string) ([]queries.ConversionPair, error)
	Cases(ctx context.Context, month string) ([]queries.Case, error)
	CasesOf(ctx context.Context, measure, from, to string) ([]queries.Case, error)
	Notes(ctx context.Context, from, to string) ([]queries.Note, error)
	Quality(ctx context.Context) (queries.Quality, error)
	Risks(ctx context.Context, from, to string) ([]queries.Risk, error)
}

// Input is what the committee report is made of. Everything that could differ between two runs over the same records is in
// it: the same Input gives the same bytes.
type Input struct {
	Reader Source
	Month  string          // the month under report, "2026-03"
	Limits measures.Limits // months that make centre lines and limits; zero: all up to Month
	// RiskBaseline is the months that say how many deaths to expect; zero: observed deaths stand alone.
	RiskBaseline measures.Baseline
	Team         string // stands in the title; empty: "Transport team"
	Notice       string // the team's words on confidentiality and peer review; empty: DefaultNotice

	CasePages int // most pages of single transports; 0: DefaultCasePages
	// Parts are those to show, of Parts() and in the order wanted; none: all.
	Parts []string
	// Full has paper hold everything; else a print has what stands out, the cases, the notes and how to read it. A screen shows all.
	Full bool
	// KeyMeasures are the ids of the measures on the first page, in order; none: DefaultKeyMeasures.
	KeyMeasures []string

	// Key makes the pseudonyms of transports; NameTransports prints their own ids instead.
	Key            []byte
	NameTransports bool

	Ledger       []LedgerLine // what became of the rows that were read
	Inputs       []InputFile  // the files that they came from
	SettingsHash string       // SHA-256 of the settings in force, hex
	Version      string       // of the program
	Paper        string       // "A4" or "Letter"; empty: that of the reader's printer
	// Interactive has charts answer to a pointer on a screen, by one script that the policy of the page names.
	Interactive bool
	GeneratedAt time.Time // printed in UTC
}

// LedgerLine is what became of the rows read for one table: Read = Stored + Repeated + Refused.
type LedgerLine struct {
	Table                                                     string
	Read, Stored, Repeated, Refused, CellsRefused, Superseded int64
	Reasons                                                   map[string]int64 // refused rows by reason
}

// InputFile is one file that was loaded, with the SHA-256 of its bytes in hex.
type InputFile struct{ Name, SHA256 string }

// DefaultNotice stands where a team has not set its own words.
const DefaultNotice = "Confidential: prepared for the team's own quality review. Pass it on only as the local rules for peer review allow."

// DefaultCasePages bounds the pages of single transports: two stand on a sheet of paper, and more than this nobody reads.
const DefaultCasePages = 40

const defaultTeam = "Transport team"

// complete fills the defaults and refuses an input that no report can be made of.
func (in Input) complete() (Input, error) {
	if in.Reader == nil {
		return in, errors.New("committee report: no reader; open the store first")
	}
	if _, err := time.Parse("2006-01", in.Month); err != nil {
		return in, fmt.Errorf("committee report: month %q: expected YYYY-MM, such as 2026-03", in.Month)
	}
	if len(in.Key) == 0 && !in.NameTransports {
		return in, errors.New("committee report: no key for the pseudonyms of transports; set one, or ask for their own names")
	}
	if strings.TrimSpace(in.Team) == "" {
		in.Team = defaultTeam
	}
	if strings.TrimSpace(in.Notice) == "" {
		in.Notice = DefaultNotice
	}
	if len(in.Parts) == 0 {
		in.Parts = Parts()
	}
	if err := CheckParts(in.Parts); err != nil {
		return in, fmt.Errorf("committee report: %w", err)
	}
	if in.CasePages == 0 {
		in.CasePages = DefaultCasePages
	}
	if len(in.KeyMeasures) == 0 {
		in.KeyMeasures = DefaultKeyMeasures()
	}
	return in, nil
}

// name is how a transport is called in the report.
func (in Input) name(transportID string) string {
	if in.NameTransports {
		return transportID
	}
	return pseudonym(in.Key, transportID)
}
