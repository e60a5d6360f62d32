package export

import (
	"context"
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// Options steer Read. The zero value reads every tag as it stands, times in UTC.
type Options struct {
	Zone    *time.Location          // clock of times without an offset; nil is UTC
	Rules   map[string]rule.TagRule // nil: every tag is read, as kind "other"
	Sources []rule.SourceRule       // the first that matches a file counts
	// StateWords are the plant's own words of state tags.
	StateWords rule.StateWords
	Strict     bool      // a damaged file stops the run
	From       time.Time // readings before are set aside; zero: none
	To         time.Time // readings at or after are set aside; zero: none
	AllSamples bool      // From and To hold for signals only
	Hash       bool      // SHA-256 of every file (about 0.25 s a gigabyte on two cores)

	// KeepFarOff keeps readings that lie further from all others than these are long;
	// with From or To none is set aside for it either.
	KeepFarOff bool

	// FillNumbers are taken as "no value" when read exactly; nil is
	// DefaultFillNumbers, an empty slice none.
	FillNumbers []float64

	// Looks asks for what a tag's numbers look like (see TagInfo), for a draft or
	// a check.
	Looks bool

	// Progress is told the bytes read so far, of all files, now and then, from
	// any goroutine but never from two at once.
	Progress func(done, total int64)

	BlockSize int // bytes; 0: 128 KiB
	Workers   int // 0: one per core

	longWay bool // every row by the path for rows of any shape: what tests hold the others against
	rawMax  int  // how many readings are read again at a time, see rawMax
}

// Result is everything that was read.
type Result struct {
	// Series by tag. Tags that were read at the same times share one column T:
	// do not change it in place.
	Series   map[string]*series.Series
	Tags     []TagInfo          // by name
	Ledger   []ledger.LedgerRow // by file, then tag
	SetAside []ledger.SetAside  // by file, line, tag; at most SetAsideCap per file and reason
	Files    []FileInfo         // by name
	Messages []ledger.Message
	// Lab holds, by tag, the cells of sampled tags that hold more than a plain
	// number (a sign, a word, a code), by time; no cell stands twice.
	Lab map[string][]lab.Cell

	clocks map[string]*time.Location // by file, that local times were taken on; none where they carry their offset
}

// TagInfo is how a tag looked in the exports, before any rule.
type TagInfo struct {
	Name        string
	Unit        string  // as declared in the export, "" if it does not say
	Description string  // as declared in the export
	Rows        int     // cells (wide) or rows (long) that named it
	Numbers     int     // of these, with a number
	Whole       int     // of the numbers, whole ones; 0 without Options.Looks
	Zeros       int     // of the numbers, exactly zero; 0 without Options.Looks
	Limits      int     // results with < or >
	First, Last int64   // Unix milliseconds of the first and last reading
	Cadence     float64 // seconds, median of the first steps; NaN for fewer than two numbers
	Min, Max    float64 // of the numbers, as exported; NaN if none, or without Options.Looks
	Words       []Word  // distinct texts, most frequent first, at most 12
	Ruled       bool    // tags.csv names it
}

// Word is a text found in place of a number.
type Word struct {
	Text string
	N    int
}

// FileInfo is one file (or one member of an archive) as it was read.
type FileInfo struct {
	Name     string
	Bytes    int64  // before any unpacking; of an archive's member 0
	SHA256   string // of the file as it stands on disk; "" unless asked for
	Format   string // what it was taken for, in plain words
	Zone     string // clock its times were taken on
	Header   int    // lines before the first row
	Blank    int    // blank lines between rows
	Comments int    // comment lines between rows
	Rows     int    // data rows, whatever became of them
}

// Read reads every file, in an order of its own, and gives readings per tag.
//
// A file that cannot be read or is damaged costs its unreadable rows and a
// message; with Options.Strict it is an error. The error is ctx's when that
// ends first.
func Read(ctx context.Context, files []record.File, opt Options) (*Result, error) {
	return read(ctx, files, opt)
}
