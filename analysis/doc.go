// Package analysis takes a plant's exports from rows to findings.
//
// The route of a reading, one file each here and one package each below:
//
//	read     (export)   every row is used, or set aside for one named reason
//	screen   (screen)   flags beside values; nothing is deleted, filled or clamped
//	frame    (align)    the period, its minutes, local hours and days
//	feeds    (loading)  chemical fed, dose, demand
//	basins   (contact)  contact time and CT, held against what is asked
//	judge    (orp)      what ORP should read, and who is wrong when it does not
//	episodes (upset)    stretches outside what is asked, and where they came from
//	tables              the hour's and the day's figures, loads among them
//
// Run does all of it. It knows no screen and no file system: it takes readers
// and names, and gives plain data. It does no arithmetic of its own: formulas
// live in the packages named, beside their sources.
package analysis
