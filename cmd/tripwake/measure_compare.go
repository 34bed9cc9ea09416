package main

import (
	"context"
	"errors"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/queries/measures"
)

// compareHelp says what the rows of --compare are.
const compareHelp = "--compare prints what the research report tells, one number a row, for the cohort of the settings cohort, exposure, outcomes, adjust_for, " +
	"describe, exclusions_for_sensitivity, cohort_from, cohort_to and small_cell. Keys of --format json: about; subject (a step, a column, a rule); group and against " +
	"(the reference); name; n; value; unit; low and high (95 % interval); p; method; withheld (a count from 1 to small_cell, or one that would tell it); note. By about:\n" +
	"  flow                 rows read, and at each step set_aside, not_recorded and left\n" +
	"  groups, patients     transports analysed, by group; patients, and those moved_more_than_once\n" +
	"  characteristic       counts of each level, or quartiles, by group; standardized_difference\n" +
	"  outcome              judged, events, risk (Wilson) or quartiles, by group\n" +
	"  effect               risk_difference (Newcombe), risk_ratio (log), odds_ratio (Woolf), odds_ratio_conditional, chi_square, test (Fisher);\n" +
	"                       of numbers shift (Hodges-Lehmann), ratio_of_geometric_means, test (Mann-Whitney)\n" +
	"  adjusted             modified Poisson and logistic regression with the patient as cluster: complete, incomplete, clusters, ratios\n" +
	"  survival             time to escalation: share free of it at steps, log_rank\n" +
	"  sensitivity          effects with one exclusion left away"

// printComparison opens the store itself, for it also needs the ledger.
func (a *app) printComparison(ctx context.Context, m measuring) (err error) {
	st, err := store.OpenReadOnly(ctx, a.settings.store, a.settings.engine)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		return err
	}
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return err
	}
	c, err := measures.Compare(ctx, reader, a.studyAsked(m.small), recordsOf(entries))
	if err != nil {
		return err
	}
	return measures.WriteCompare(a.out, m.format, measures.CompareRows(c))
}

// recordsOf adds up what became of the rows of transports.
func recordsOf(entries []store.Entry) (r measures.CohortRecords) {
	for _, e := range entries {
		if e.Table == "transports" {
			r.Read, r.Repeated = r.Read+int(e.Read), r.Repeated+int(e.Repeated)
			r.Refused, r.Corrected = r.Refused+int(e.Refused), r.Corrected+int(e.Superseded)
		}
	}
	return r
}

// studyAsked is the study of the settings; without small cells nothing is withheld.
func (a *app) studyAsked(showSmall bool) queries.Study {
	study := a.settings.study
	if showSmall {
		study.SmallCell = 0
	}
	return study
}
