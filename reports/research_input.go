package reports

import (
	"context"
	"errors"
	"strings"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// ResearchSource is what a research report asks of package queries; *queries.Reader is one.
type ResearchSource interface {
	measures.StudySource
	Period(ctx context.Context) (first, last string, err error)
}

// ResearchInput is what the research report is made of. Everything that could differ between two runs over the same records is
// in it: the same input gives the same bytes.
type ResearchInput struct {
	Reader  ResearchSource
	Study   queries.Study          // SmallCell 0 withholds nothing: the page then says that it is for internal use
	Records measures.CohortRecords // what became of the rows of transports
	Team    string                 // stands in the title; empty: "Transport team"
	Notice  string                 // the team's words on confidentiality; empty: DefaultNotice

	Inputs       []InputFile // the files that the records came from
	SettingsHash string      // SHA-256 of the settings in force, hex
	Version      string      // of the program
	Paper        string      // "A4" or "Letter"; empty: that of the reader's printer
	// Interactive has charts answer to a pointer on a screen, by one script that the policy of the page names.
	Interactive bool
	GeneratedAt time.Time // printed in UTC
}

// complete fills the defaults and refuses an input that no report can be made of.
func (in ResearchInput) complete() (ResearchInput, error) {
	if in.Reader == nil {
		return in, errors.New("research report: no reader; open the store first")
	}
	if strings.TrimSpace(in.Team) == "" {
		in.Team = defaultTeam
	}
	if strings.TrimSpace(in.Notice) == "" {
		in.Notice = DefaultNotice
	}
	return in, nil
}
