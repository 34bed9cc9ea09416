// Package crosscheck holds package stats against R and Python on random input.
//
// Its test has the build tag crosscheck, because it needs Rscript with the
// survival package and /usr/bin/python3 with scipy and statsmodels
// (Debian: r-base-core r-cran-survival python3-scipy python3-statsmodels):
//
//	go test -tags crosscheck ./queries/stats/crosscheck
//
// In: a fixed seed. Out: a failure for every number that differs by more than
// 1e-8 of its size. Refused: a machine without the two programs (the test
// fails, it does not pass in silence).
package crosscheck
