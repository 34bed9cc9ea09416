// Package draft looks at exports that nobody has described yet and writes a first layout for them.
//
// In: paths of exports in any habit. Of each file the first records are looked at, never all. Out: the text of a layout in
// which every proposal has its score, every doubt is marked with what else it may be, and headers that nothing fits are named;
// the lines that a person must decide before the layout can be loaded; and the scores as one table. It goes: sample, features of
// each column, scores against each column of each table, the best one-to-one pairing, text. It refuses paths without any export.
// Where the evidence is split nothing is guessed. Comments show codes, never identifiers, names or narratives.
package draft

import (
	"errors"
	"fmt"
	"strings"

	"tripwake/pipeline/intake"
)

// Draft is what looking at exports gives: the text of the layout, the lines of it that must be decided, and the scores.
type Draft struct {
	Text      string
	Decisions []Decision
	Scores    []Score
	Sources   int
}

// Decision is a line of the layout that a load refuses until a person has decided it.
type Decision struct {
	Line       int
	Key, Doubt string
}

// Score is how well one header fits one column: Total is Fit × (Name + (1 − Name) × 0.5 × Telling), each from 0 to 1.
type Score struct {
	Files   string  `json:"files"`
	Table   string  `json:"table"`
	Header  string  `json:"header"`
	Column  string  `json:"column"`
	Name    float64 `json:"name"`
	Fit     float64 `json:"fit"`
	Telling float64 `json:"telling"`
	Total   float64 `json:"score"`
	Taken   bool    `json:"taken"`
}

// ErrNone says that the paths hold no export that fits a table; the draft then has comments only.
var ErrNone = errors.New("no export fits a table")

// Of drafts a layout for the exports in paths. The same files give the same bytes.
func Of(paths []string) (Draft, error) {
	candidates, err := intake.Exports(paths)
	if err != nil {
		return Draft{}, err
	}
	if len(candidates) == 0 {
		return Draft{}, fmt.Errorf("%s: no export found; expected .csv, .tsv or .txt files, gzipped or in .zip archives too", strings.Join(paths, ", "))
	}
	var samples []sample
	var notRead []string
	for _, c := range candidates {
		s, ok, err := takeSample(c)
		if err != nil {
			return Draft{}, err
		}
		if !ok {
			notRead = append(notRead, text(c.Name)+": no header was found: a line of two names or more, all different, with records of as many cells below it")
			continue
		}
		samples = append(samples, s)
	}
	return of(samples, notRead)
}

func of(samples []sample, notRead []string) (Draft, error) {
	var proposals []proposalOf
	var d Draft
	for _, g := range grouped(samples) {
		p, ok := g.propose()
		if !ok {
			notRead = append(notRead, list(g.names())+": fits no table; "+p.lack())
			continue
		}
		proposals = append(proposals, p)
		d.Scores = append(d.Scores, p.scoreRows()...)
		d.Sources += len(p.picks)
	}
	written := write(proposals, notRead)
	d.Text, d.Decisions = strings.Join(written.lines, "\n")+"\n", written.decides
	if len(proposals) == 0 {
		return d, ErrNone
	}
	return d, nil
}
