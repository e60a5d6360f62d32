// Package export reads what plants export: tag exports of control systems and
// loggers, and laboratory sheets, into one series per tag.
//
// A file goes through these packages; each knows only those before it:
//
//	lex      numbers, blanks and words of a text
//	ledger   what became of every row, and messages
//	record   a file to text, blocks and cells
//	rule     what tags.csv and plant.toml say
//	stamp    a cell to a moment
//	cell     a cell to a value, flags, a unit
//	sample   the first rows: what the columns look like
//	layout   what each column is
//	rows     blocks by a layout to readings
//	merge    readings to one series a tag
//	export   the passes over a file, and what a further reading settles
//	draft    a plant description from what was read
//
// Read looks at the beginnings of some files ahead (look: sample, then layout), then
// reads one table after the other. In a pass, workers take blocks in turn, read them
// side by side, and what they made is merged in the file's order. What all rows
// tell and the first did not (a date order, a decimal mark, quality codes, units of
// rows, mixed autumn hours) is settled after a pass, and the table is read once more.
// What only all files tell (a date order that a file of the same form shows, units that
// differ from file to file, readings far from the record) is settled when all are read,
// and the files concerned are read once more (settleAcross). Readings of minutes that
// several files claim are read again at the end (assemble).
//
// # What is kept
//
// Every row ends in one place of the ledger: used, or set aside for one reason.
// A long file's ledger counts rows, a wide one's cells. A row that is not
// readable as any tag's stands under the tag "". A heading of other columns
// begins a table of its own, which has a name, a ledger and a layout like a file;
// a heading that comes again is a row that is no data row.
//
// Values are converted once, to the tag's working unit; a value that stands in
// its working unit already keeps every bit. Flags stand beside values: nothing
// is dropped for being bad, outside its span or a fill number, except from the
// mean of a condensed minute (see Condensed in package series, and merge.Condenser).
//
// A quality belongs to the tag whose name its heading bears, else to the value it
// stands behind; one without a name behind all of several values is the row's. The
// state of a pump is none. Where a tag's rows state different units, each row is
// converted from its own, in a second pass over the file.
//
// Of readings of one tag and one time, one is kept, and where they differ both are told: the one with the better
// quality, and of equal ones the one that stands first, files taken by name.
// The other is set aside as "repeated reading" if it agrees in value and
// quality and as "conflicting reading" if not.
//
// Local times of the hour that a clock change repeats are told apart by the
// order of the rows: times that step back once are the two passes. One pass
// alone is taken as the first, with a message. What steps back more often is
// set aside, and so is an hour about which rows apart disagree.
// Times in an hour that the clock skips are set aside, and it is asked whether the
// clock was left on winter time; nothing is moved unasked.
//
// The clock of a file's times is, in this order: an offset that a time carries in
// numbers; time_zone of its [[source]]; an abbreviation that a time carries, in the
// sense that the plant's zone gives it; the heading; a line above the table; the
// plant's zone.
//
// Results depend on the files alone: not on their order, the block size or the
// number of workers.
package export
