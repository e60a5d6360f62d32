// Package export reads what plants export: tag exports of control systems and
// loggers, and laboratory sheets, into one series per tag.
//
// The route of a file:
//
//	open.go      packing by content (gzip, zip), what is no export
//	text.go      text encoding
//	sniff.go     separator, and where the table begins; marks.go: the decimal mark;
//	timecols.go, layout.go, widecols.go, words.go: which column is what
//	cut.go       blocks of whole records
//	worker.go    a row by the path it fits: hotlong.go and hotwide.go rows like the
//	             one before, longFast and wideFast plain cells, slowrow.go all others
//	times.go, timeparts.go, zone.go: times; number.go, value.go: values;
//	quality.go   quality words and codes
//	pass.go, blocks.go: workers and their blocks; merge.go: what they made, in the
//	             file's order
//	track.go     one tag of one file: duplicates, order, repeated hours
//	condense.go  readings more frequent than a minute, to one mean a minute
//	assemble.go  a tag's runs, of all files, into its series
//	overlap.go   minutes that several runs claim
//	ledger.go    what became of every row
//
// # What is kept
//
// Every row ends in one place of the ledger: used, or set aside for one reason.
// A long file's ledger counts rows, a wide one's cells. A row that is not
// readable as any tag's stands under the tag "".
//
// Values are converted once, to the tag's working unit; a value that stands in
// its working unit already keeps every bit. Flags stand beside values: nothing
// is dropped for being bad, outside its span or a fill number, except from the
// mean of a condensed minute (see Condensed in package series, and condenser).
//
// Of readings of one tag and one time, one is kept: the one with the better
// quality, and of equal ones the one that stands first, files taken by name.
// The other is set aside as "repeated reading" if it agrees in value and
// quality and as "conflicting reading" if not.
//
// Local times of the hour that a clock change repeats are told apart by the
// order of the rows: times that step back once are the two passes. One pass
// alone is taken as the first, with a message. What steps back more often is
// set aside.
//
// Results depend on the files alone: not on their order, the block size or the
// number of workers.
package export
