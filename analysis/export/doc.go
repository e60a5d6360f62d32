// Package export reads what plants export: tag exports of control systems and
// loggers, and laboratory sheets, into one series per tag.
//
// The route of a file:
//
//	open.go      packing by content (gzip, zip), what is no export
//	text.go      text encoding
//	sniff.go     separator, and where the table begins; marks.go: the decimal mark;
//	heading.go, belowheading.go, fit.go: its heading, what stands below it, and rows of another width;
//	timecols.go, clockcols.go, timechoice.go, layout.go, longroles.go, widecols.go,
//	             words.go: which column is what; qualitycols.go whose quality a column is, wordcols.go
//	             words that are no tags, namesabove.go and rawcounts.go tags and values
//	             told otherwise, owntimes.go values with times of their own,
//	             signs.go signs of results; filename.go tags named after files;
//	             notable.go what is no table
//	cut.go       blocks of whole records
//	worker.go    a row by the path it fits: hotlong.go and hotwide.go rows like the
//	             one before, fastrow.go plain cells, slowrow.go all others; rowcells.go the
//	             values of a row and what belongs to each; cell.go
//	             makes a reading of any cell, rowtime.go a time of several
//	times.go, timeparts.go, timetext.go, months.go, zone.go, zonenames.go: times;
//	datelooks.go, dateorder.go: the order of day, month and year; preamblezone.go, offsets.go: which
//	             clock the times were taken on
//	number.go, value.go, nondetect.go: values; rowunits.go units that rows state
//	quality.go, qualitywords.go: quality words and codes
//	pass.go, blocks.go: workers and their blocks; merge.go: what they made, in the
//	             file's order
//	nexttable.go tables one below the other in one file; linesabove.go their names
//	track.go     one tag of one file: duplicates, order, repeated hours
//	condense.go  readings more frequent than a minute, to one mean a minute;
//	             newest.go tells whether the newest row stands first, backward.go condenses then
//	assemble.go  a tag's runs, of all files, into its series
//	overlap.go   minutes that several runs claim
//	ledger.go    what became of every row; mostaside.go tells where it was much
//
// # What is kept
//
// Every row ends in one place of the ledger: used, or set aside for one reason.
// A long file's ledger counts rows, a wide one's cells. A row that is not
// readable as any tag's stands under the tag "". A heading of other columns
// begins a table of its own, which has a name, a ledger and a format like a file;
// a heading that comes again is a row that is no data row.
//
// Values are converted once, to the tag's working unit; a value that stands in
// its working unit already keeps every bit. Flags stand beside values: nothing
// is dropped for being bad, outside its span or a fill number, except from the
// mean of a condensed minute (see Condensed in package series, and condenser).
//
// A quality belongs to the tag whose name its heading bears, else to the value it
// stands behind; one without a name behind all of several values is the row's. The
// state of a pump is none. Where a tag's rows state different units, each row is
// converted from its own, in a second pass over the file.
//
// Of readings of one tag and one time, one is kept: the one with the better
// quality, and of equal ones the one that stands first, files taken by name.
// The other is set aside as "repeated reading" if it agrees in value and
// quality and as "conflicting reading" if not.
//
// Local times of the hour that a clock change repeats are told apart by the
// order of the rows: times that step back once are the two passes. One pass
// alone is taken as the first, with a message. What steps back more often is
// set aside, and so is an hour about which rows apart disagree (scattered.go).
// Times in an hour that the clock skips are set aside, and it is asked whether the
// clock was left on winter time (winterclock.go); nothing is moved unasked.
//
// The clock of a file's times is, in this order: an offset that a time carries in
// numbers; time_zone of its [[source]]; an abbreviation that a time carries, in the
// sense that the plant's zone gives it; the heading; a line above the table; the
// plant's zone.
//
// Results depend on the files alone: not on their order, the block size or the
// number of workers.
package export
