package export

import (
	"context"
	"io"
	"math"
	"time"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// File is one export: a name for messages and the ledger, and a way to read it.
// Open may be called more than once (a file is read again where its date order
// or overlapping readings ask for it) and always gives the file from its start.
type File struct {
	Name string
	Size int64 // bytes, for progress; 0 when not known
	Open func() (io.ReadCloser, error)
}

// TagRule is what tags.csv says about a tag.
type TagRule struct {
	Kind    quantity.Kind
	Unit    quantity.Unit // of the exported values
	HasUnit bool          // false: the export's own unit, or else the working unit
	Low     float64       // stated span, working unit; NaN: none
	High    float64
	Reading series.Reading
	Line    int // in tags.csv
}

// Working is the unit that the tag's values are kept in.
func (r TagRule) Working() (quantity.Unit, error) {
	info, _ := quantity.Of(r.Kind)
	if !r.HasUnit {
		return info.Working, nil
	}
	return quantity.Accept(r.Kind, r.Unit)
}

// SourceRule overrides what the reader would guess for the files of one control
// system. Empty fields leave the guess.
type SourceRule struct {
	Name          string
	Files         []string       // patterns against the file's name or its last part, * and ? as wildcards
	Zone          *time.Location // clock of its times
	ClockOffset   time.Duration  // added to its times
	DateOrder     string         // "ymd", "dmy" or "mdy"
	Decimal       string         // "." or ","
	Encoding      string         // "utf-8", "utf-16le", "utf-16be", "windows-1252", "shift-jis"
	Layout        string         // "long" or "wide"
	Tag           string         // of files that hold one tag
	TimeColumn    string         // heading
	TagColumn     string
	ValueColumn   string
	QualityColumn string // heading; NoQuality: no column is one
	QualityCodes  string // "opc-da", "opc-ua", "zero-good", "one-good"

	// What whole quality cells mean; capitals do not matter.
	GoodWords, UncertainWords, BadWords []string
}

// NoQuality as SourceRule.QualityColumn says that no column is a quality.
const NoQuality = "none"

// Options steer Read. The zero value reads every tag as it stands, times in UTC.
type Options struct {
	Zone    *time.Location     // clock of times without an offset; nil is UTC
	Rules   map[string]TagRule // nil: every tag is read, as kind "other"
	Sources []SourceRule       // the first that matches a file counts
	// StateWords are the plant's own words of state tags.
	StateWords StateWords
	Strict     bool      // a damaged file stops the run
	From       time.Time // readings before are set aside; zero: none
	To         time.Time // readings at or after are set aside; zero: none
	Hash       bool      // SHA-256 of every file (about 0.25 s a gigabyte on two cores)

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
	rawMax  int  // see overlap.go; 0: as there
}

// SetAsideCap is how many rows are kept with their text per file and reason;
// the ledger counts them all.
const SetAsideCap = 200

// Result is everything that was read.
type Result struct {
	// Series by tag. Tags that were read at the same times share one column T:
	// do not change it in place.
	Series   map[string]*series.Series
	Tags     []TagInfo   // by name
	Ledger   []LedgerRow // by file, then tag
	SetAside []SetAside  // by file, line, tag; at most SetAsideCap per file and reason
	Files    []FileInfo  // by name
	Messages []Message

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

// Severity of a message.
type Severity uint8

// Severities.
const (
	Note    Severity = iota // a guess or a fact to know
	Warning                 // look at it
	Error                   // readings were lost over it
)

// Message tells a person what the reader met: what, where, and what to do next.
type Message struct {
	Severity Severity
	File     string
	Line     int // 0: the whole file
	Text     string
}

// DefaultFillNumbers are numbers that loggers and control systems write when
// they have no value. Common practice, no source. A number is flagged only
// when it is met exactly, and not when the tag's stated span holds it.
func DefaultFillNumbers() []float64 {
	return []float64{-9999, -999, -99999, -999999, -999.25, -9999.9, -999.9, -99.99, -7999, 7999, -6999, 6999,
		9999, 99999, 999999, 9999999, -32768, 32767, 65535, -2147483648, 2147483647,
		math.MaxFloat32, -math.MaxFloat32, 1e30, -1e30, 1e35}
}

// Read reads every file, in an order of its own, and gives readings per tag.
//
// A file that cannot be read or is damaged costs its unreadable rows and a
// message; with Options.Strict it is an error. The error is ctx's when that
// ends first.
func Read(ctx context.Context, files []File, opt Options) (*Result, error) {
	return read(ctx, files, opt)
}
