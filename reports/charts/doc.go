// Package charts draws the reports' charts: plain numbers and words come in, one SVG string per chart goes out.
//
// A chart is described by a struct of its kind (Control, RareEvents, Bars, Intervals, Matrix, Agreement, Stacked, Spark,
// Funnel, Distribution). The package lays it out, writes it down as go-echarts options, and has ECharts draw those inside a
// JavaScript machine that NewRenderer starts, so that a report needs neither a browser nor a script. It computes nothing
// about transports: centre lines, limits and intervals are given to it, in the unit in which they are printed.
//
// What goes out is safe to stand in a page: elements and attributes are those of a short list, every text is escaped,
// colours are the package's own, ids begin with the chart's ID, nothing refers to anything outside. Words from data reach
// the picture as plain text elements and never as a template, so that "{b}" stays "{b}"; a word that is too long is
// cut with an ellipsis. The same input gives the same bytes.
//
// Beside the picture a renderer can keep the same chart as data for a page that answers to a pointer (Enliven, Live, LiveScript).
//
// It refuses a chart without rows, slices of unequal length, infinite numbers, a number not above zero on a
// logarithmic axis, and an ID that is malformed or was used before. A program built without the ECharts bundle refuses to
// make a Renderer and names the command that builds it.
package charts
