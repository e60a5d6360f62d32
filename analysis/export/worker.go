package export

import (
	"bytes"
	"sync"

	"weirbook/analysis/series"
)

// tagTable numbers the tags of one file, for all its workers.
type tagTable struct {
	mu    sync.Mutex
	byKey map[string]int
	specs []*tagSpec
	make  func(name, declared string) *tagSpec
}

// id numbers a tag in one unit: where a file's rows state their units, each
// unit of a tag is converted by rules of its own.
func (t *tagTable) id(name, declared string) (int, *tagSpec) {
	t.mu.Lock()
	defer t.mu.Unlock()
	key := name + "\x00" + declared
	if i, ok := t.byKey[key]; ok {
		return i, t.specs[i]
	}
	i := len(t.specs)
	s := t.make(name, declared)
	t.byKey[key] = i
	t.specs = append(t.specs, s)
	return i, s
}

// spec gives the rules of a tag.
func (t *tagTable) spec(id int) *tagSpec {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.specs[id]
}

// worker turns the rows of blocks into readings. One goroutine uses it.
type worker struct {
	f          *format
	tm         timeReader
	q          qualityReader
	tab        *tagTable
	stateWords *stateReader
	dir        int64 // of time from row to row: 1, or -1 where the newest stands first
	from       int64
	to         int64

	longWay bool // see Options
	looks   bool // how the tags look is asked for
	learned bool // timeAt read the time of a row that is not taken yet
	before  dateLooks

	ids   map[string]int // tag cell as it stands to tag
	specs []*tagSpec
	raw   [][]byte // tag cell as it stands, by tag
	units [][]byte // its unit cell as it stands, where there is a column of units
	tags  []hotTag
	quals []hotQuality // qualities met, the usual one first
	odd   []oddCell    // of a row of a wide file
	// A quality met there that says good, as it stands, and with the separator
	// before it.
	goodText string
	goodWord word16
	prev     int // the tag last met

	spelling              spelling
	beforeName, afterName []byte // of a tag, as spelt
	afterTime             word16 // between a time and the value behind it
	respelt               int
	allQuoted             bool // the last row of a wide file began so

	b      *block
	fields [][]byte
	arena  []byte
	held   []cellOf // see cells
	parsed map[string]unitOf
	join   []byte

	starred  int               // values that bear a mark
	unitsMet []map[string]bool // by tag, of a wide file with units beside its values
	signed   series.Flag       // by the signs met since the last value
	signText []byte
	marks    markCounts              // of numbers met, while the decimal mark is not settled
	states   map[string]stateMeaning // words of state tags met
}

func newWorker(f *format, tab *tagTable, from, to int64) *worker {
	w := &worker{f: f, tm: f.tm, q: qualityReader{codes: f.codes, words: f.qualityWords}, tab: tab, from: from, to: to,
		ids: map[string]int{}, parsed: map[string]unitOf{}, prev: -1, quals: make([]hotQuality, 0, 8)}
	w.tm.cell = nil
	w.dir = 1
	if f.newest {
		w.dir = -1
	}
	w.spellGlue()
	if f.layout == wide {
		for i := range tab.specs {
			w.learn(i, tab.specs[i], nil, nil)
		}
	}
	return w
}

func (w *worker) learn(id int, s *tagSpec, cell, unit []byte) {
	for len(w.specs) <= id {
		w.specs = append(w.specs, nil)
		w.raw = append(w.raw, nil)
		w.units = append(w.units, nil)
		w.tags = append(w.tags, hotTag{next: -1})
	}
	w.specs[id] = s
	t := &w.tags[id]
	t.low, t.high = s.quickLow, s.quickHigh
	// A name that had to be quoted is none that stands between separators.
	if w.raw[id] == nil && !bytes.ContainsAny(cell, "\"\r\n") && bytes.IndexByte(cell, w.f.sep) < 0 {
		w.raw[id] = append([]byte(nil), cell...)
		w.units[id] = append([]byte(nil), unit...)
		t.word = w.tagWord(w.raw[id])
	}
}

// run works through a block.
func (w *worker) run(b *block) {
	w.b = b
	b.term, b.newest = w.f.term, w.f.newest
	buf, term := b.buf, w.f.term
	fastLong := w.f.layout == long && w.f.fast
	hot := !w.longWay && term == '\n' && (w.f.rowOrder != anyOrder || w.f.step > 0)
	if hot && w.f.step > 0 && len(buf) > 0 {
		b.begin((len(w.f.cols)-1)/w.f.step, w.looks)
		defer b.end()
	}
	// The hot paths look up to hotMargin bytes ahead.
	ahead, last := buf, len(buf)-hotMargin
	if cap(buf)-len(buf) >= hotMargin {
		ahead, last = buf[:len(buf)+hotMargin], len(buf)-1
	}
	for i := 0; i < len(buf); {
		if hot && i <= last {
			if fastLong {
				i = w.longRows(ahead, i, last)
			} else {
				i = w.wideRows(ahead, i, last)
			}
			if i == len(buf) {
				break
			}
		}
		next := w.row(buf, i, fastLong)
		if b.turn != "" { // what follows is another table's
			b.buf, b.long, b.err = buf[:i], nil, nil
			break
		}
		b.lines += bytes.Count(buf[i:next], []byte{term})
		i = next
	}
}

// row reads the row that begins at i, of any shape, and gives where the next
// one does.
func (w *worker) row(buf []byte, i int, fastLong bool) int {
	b, term := w.b, w.f.term
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
	case w.f.rowOrder != anyOrder && n >= 0:
		w.spell(row, cr)
	case w.f.step > 0:
		w.allQuoted = len(row) > 0 && row[0] == '"'
	}
	if !w.longWay && w.fastRow(row, i, fastLong) {
		b.rows++
		return min(end+1, len(buf))
	}
	if bytes.IndexByte(row, '"') >= 0 {
		e, _ := recordEnd(buf, i, w.f.sep, term, true)
		row = bytes.TrimRight(buf[i:e], "\r\n")
		end = e - 1
		if e == len(buf) && buf[e-1] != term {
			end = e
		}
	}
	w.slow(row, i)
	return min(end+1, len(buf))
}
