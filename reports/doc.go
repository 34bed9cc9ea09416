// Package reports writes the reports as single HTML files.
//
// In: answers of packages queries and measures, through a Source, and what the caller knows of the run (team, month,
// ledger, hashes, the moment of writing); for Research a study instead of a month. Out: one HTML document that opens without
// a network, runs no script unless Interactive asks for the one of package charts, prints on A4 and Letter, fits a phone, and
// says in a table what each chart shows. It refuses a month that is none and a missing key for pseudonyms. It holds no SQL
// and does no arithmetic: every number comes ready, here it is only put into its place.
//
// Text from records is escaped by html/template; charts come from package charts, which escapes what it draws. The policy in
// the head of a document forbids everything but its own style sheet, and that script where there is one, which it names by hash.
package reports
