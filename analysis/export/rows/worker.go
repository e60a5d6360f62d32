// Package rows reads blocks of records by a layout into readings, each row by the
// quickest path that fits it.
package rows

import (
	"bytes"
	"sync"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// TagTable numbers the tags of one file, for all its workers.
type TagTable struct {
	mu    sync.Mutex
	ByKey map[string]int
	Specs []*cell.TagSpec
	Make  func(name, declared string) *cell.TagSpec
}

// id numbers a tag in one unit: where a file's rows state their units, each
// unit of a tag is converted by rules of its own.
func (t *TagTable) id(name, declared string) (int, *cell.TagSpec) {
	t.mu.Lock()
	defer t.mu.Unlock()
	key := name + "\x00" + declared
	if i, ok := t.ByKey[key]; ok {
		return i, t.Specs[i]
	}
	i := len(t.Specs)
	s := t.Make(name, declared)
	t.ByKey[key] = i
	t.Specs = append(t.Specs, s)
	return i, s
}

// Spec gives the rules of a tag.
func (t *TagTable) Spec(id int) *cell.TagSpec {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.Specs[id]
}

// Worker turns the rows of blocks into readings. One goroutine uses it.
type Worker struct {
	f          *layout.Layout
	Time       stamp.TimeReader
	Q          cell.QualityReader
	tab        *TagTable
	StateWords *cell.StateReader
	dir        int64 // of time from row to row: 1, or -1 where the newest stands first
	from       int64
	to         int64
	record     *series.Stretch // readings outside are far off; nil: none is

	AllSamples bool // see Options

	LongWay bool // see Options
	Looks   bool // how the tags look is asked for
	learned bool // timeAt read the time of a row that is not taken yet
	before  stamp.DateLooks

	ids   map[string]int // tag cell as it stands to tag
	specs []*cell.TagSpec
	raw   [][]byte // tag cell as it stands, by tag
	units [][]byte // its unit cell as it stands, where there is a column of units
	tags  []hotTag
	quals []hotQuality // qualities met, the usual one first
	odd   []oddCell    // of a row of a wide file
	// A quality met there that says good, as it stands, and with the separator
	// before it.
	goodText string
	goodWord lex.Word16
	prev     int // the tag last met

	spelling              spelling
	beforeName, afterName []byte     // of a tag, as spelt
	afterTime             lex.Word16 // between a time and the value behind it
	respelt               int
	allQuoted             bool // the last row of a wide file began so

	B       *Block
	fields  [][]byte
	arena   []byte
	cellBuf []cellOf // see cells
	parsed  map[string]unitOf
	join    []byte

	lows     map[*cell.TagSpec]map[float64]int // low numbers, counted
	Starred  int                               // values that bear a mark
	unitsMet []map[string]bool                 // by tag, of a wide file with units beside its values
	signed   series.Flag                       // by the signs met since the last value
	signText []byte
	endOfDay bool                         // the row that is read slowly says 24:00
	above    [][]byte                     // see fillDown
	limit    []byte                       // the row's own reporting or detection limit
	Marks    cell.MarkCounts              // of numbers met, while the decimal mark is not settled
	states   map[string]cell.StateMeaning // words of state tags met

	// Of a file whose quality numbers are of several kinds, by tag.
	tagQ     map[string]*cell.QualityReader
	TagCodes map[string]map[uint64]int // met, counted
}

// NewWorker makes a worker of a table's rows. Readings outside [from, to) are set aside;
// with a record, which takes the place of these, those of signals outside it are.
func NewWorker(f *layout.Layout, tab *TagTable, from, to int64, record *series.Stretch) *Worker {
	if record != nil {
		from, to = record.Start, record.End
	}
	w := &Worker{f: f, Time: f.Time, Q: cell.QualityReader{Codes: f.Codes, Words: f.QualityWords}, tab: tab, from: from, to: to, record: record,
		ids: map[string]int{}, parsed: map[string]unitOf{}, prev: -1, quals: make([]hotQuality, 0, 8)}
	w.Time.Cell = nil
	w.dir = 1
	if f.Newest {
		w.dir = -1
	}
	w.spellGlue()
	if f.Shape == layout.Wide {
		for i := range tab.Specs {
			w.learn(i, tab.Specs[i], nil, nil)
		}
	}
	return w
}

func (w *Worker) learn(id int, s *cell.TagSpec, cell, unit []byte) {
	for len(w.specs) <= id {
		w.specs = append(w.specs, nil)
		w.raw = append(w.raw, nil)
		w.units = append(w.units, nil)
		w.tags = append(w.tags, hotTag{next: -1})
	}
	w.specs[id] = s
	t := &w.tags[id]
	t.low, t.high = s.QuickLow, s.QuickHigh
	// A name that had to be quoted is none that stands between separators.
	if w.raw[id] == nil && !bytes.ContainsAny(cell, "\"\r\n") && bytes.IndexByte(cell, w.f.Sep) < 0 {
		w.raw[id] = append([]byte(nil), cell...)
		w.units[id] = append([]byte(nil), unit...)
		t.word = w.tagWord(w.raw[id])
	}
}

// Run works through a block.
func (w *Worker) Run(b *Block) {
	w.B = b
	w.above = nil
	b.Term, b.newest = w.f.Term, w.f.Newest
	buf, term := b.Buf, w.f.Term
	fastLong := w.f.Shape == layout.Long && w.f.Fast
	hot := !w.LongWay && term == '\n' && (w.f.RowOrder != layout.AnyOrder || w.f.Step > 0)
	if hot && w.f.Step > 0 && len(buf) > 0 {
		b.Begin((len(w.f.Cols)-1)/w.f.Step, w.Looks)
		defer b.end()
	}
	// The hot paths look up to HotMargin bytes ahead.
	ahead, last := buf, len(buf)-record.HotMargin
	if cap(buf)-len(buf) >= record.HotMargin {
		ahead, last = buf[:len(buf)+record.HotMargin], len(buf)-1
	}
	for i := 0; i < len(buf); {
		if hot && i <= last {
			if fastLong {
				i = w.LongRows(ahead, i, last)
			} else {
				i = w.WideRows(ahead, i, last)
			}
			if i == len(buf) {
				break
			}
		}
		next := w.Row(buf, i, fastLong)
		if b.Turn != "" { // what follows is another table's
			b.Buf, b.Long, b.Err = buf[:i], nil, nil
			break
		}
		b.Lines += bytes.Count(buf[i:next], []byte{term})
		i = next
	}
}

// Row reads the row that begins at i, of any shape, and gives where the next
// one does.
func (w *Worker) Row(buf []byte, i int, fastLong bool) int {
	b, term := w.B, w.f.Term
	n := bytes.IndexByte(buf[i:], term)
	end := len(buf)
	if n >= 0 {
		end = i + n
	}
	row := buf[i:end]
	cr := false
	if k := len(row); k > 0 && row[k-1] == '\r' {
		row, cr = row[:k-1], true
	}
	switch {
	case w.f.RowOrder != layout.AnyOrder && n >= 0:
		w.spell(row, cr)
	case w.f.Step > 0:
		w.allQuoted = len(row) > 0 && row[0] == '"'
	}
	if n < 0 && w.f.CutOff(row) {
		b.Rows++
		w.split(row)
		w.whole(row, i, ledger.CutShort)
		return len(buf)
	}
	if !w.LongWay && w.fastRow(row, i, fastLong) {
		b.Rows++
		return min(end+1, len(buf))
	}
	if bytes.IndexByte(row, '"') >= 0 {
		e, _ := record.RecordEnd(buf, i, w.f.Sep, term, true)
		row = bytes.TrimRight(buf[i:e], "\r\n")
		end = e - 1
		if e == len(buf) && buf[e-1] != term {
			end = e
		}
	}
	w.slow(row, i)
	return min(end+1, len(buf))
}
