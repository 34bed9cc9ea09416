// Package stats answers statistical questions about plain slices of float64.
//
// In: finished counts, exposures, times and readings, already cleaned and in
// one unit; the package knows nothing of transports, dates or units.
// Out: estimates with their interval, the name of the method and, where the
// answer is of limited worth, a warning; control charts as data (points with
// centre and limits, and the signals found); tests; fitted models; which counts
// of tables to withhold so that no small one can be told.
// Refused, by an error of one line that names what was expected: NaN and
// infinite input (except where a doc comment gives NaN the meaning "no value
// here"), negative counts, counts that are not whole where a method needs
// them whole, slices of unequal length, too few values, zero denominators,
// models that have no finite solution. A result that comes without an error
// never holds a NaN or an infinity: an upper limit or a value that does not
// exist is flagged (Interval.Open, Estimate.Infinite).
//
// Intervals are two-sided 95 % unless a level is asked for. Tails and
// quantiles of distributions come from gonum.
package stats
