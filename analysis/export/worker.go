package export

import (
	"bytes"
	"sync"

	"weirbook/analysis/quantity"
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
	parsed map[string]unitOf
	join   []byte

	starred  int               // values that bear a mark
	unitsMet []map[string]bool // by tag, of a wide file with units beside its values
	signed   series.Flag       // by the signs met since the last value
	signText []byte
	marks    markCounts              // of numbers met, while the decimal mark is not settled
	states   map[string]stateMeaning // words of state tags met
}

type unitOf struct {
	u  quantity.Unit
	ok bool
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
	if w.longWay {
		// Straight to slow.
	} else if fastLong {
		if w.longFast(row, i) {
			b.rows++
			return min(end+1, len(buf))
		}
	} else if w.f.fast && w.wideFast(row, i) {
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

// longFast reads a row of a long file whose every cell is plain. It changes
// nothing and gives false when one is not.
func (w *worker) longFast(row []byte, off int) bool {
	if len(row) > maxRecord || isBinary(row) {
		return false
	}
	var (
		ms  int64
		st  timeStatus
		v   float64
		q   series.Flag
		tag = -1
		p   int

		unit []byte
	)
	sep := w.f.sep
	last := len(w.f.ops) - 1
	for k, op := range w.f.ops {
		quoted := p < len(row) && row[p] == '"'
		if quoted {
			p++
		}
		switch op {
		case roleTime:
			var n int
			ms, st, n = w.tm.fast(row[p:])
			if n == 0 {
				e := w.cellEnd(row, p, quoted)
				if e < 0 {
					return false
				}
				ms, st = w.tm.read(row[p:e])
				n = e - p
			}
			if st > timeTwice {
				return false
			}
			p += n
		case roleTag:
			if w.prev >= 0 {
				if g := int(w.tags[w.prev].next); g >= 0 {
					name := w.raw[g]
					e := p + len(name)
					if e > p && e < len(row) && (row[e] == sep || quoted && row[e] == '"') && string(row[p:e]) == string(name) {
						tag, p = g, e
						break
					}
				}
			}
			e := w.cellEnd(row, p, quoted)
			if e <= p {
				return false
			}
			id, ok := w.ids[string(row[p:e])]
			if !ok {
				return false
			}
			if w.prev >= 0 {
				w.tags[w.prev].next = int32(id)
			}
			tag, p = id, e
		case roleValue:
			x, n := parseNumber(row[p:], w.f.dec)
			if n == 0 {
				return false
			}
			v = x
			p += n
		case roleQuality:
			if l := len(w.q.last); l > 0 && p+l <= len(row) && string(row[p:p+l]) == string(w.q.last) &&
				(p+l == len(row) || row[p+l] == sep || quoted && row[p+l] == '"') {
				q, p = w.q.flag, p+l
				break
			}
			e := w.cellEnd(row, p, quoted)
			if e < 0 {
				return false
			}
			known := false
			if q, known = w.q.seen[string(row[p:e])]; !known {
				return false // met for the first time: noted when the row is accepted
			}
			w.q.last, w.q.flag = append(w.q.last[:0], row[p:e]...), q
			w.metQuality(row[p:e], q)
			p = e
		default:
			e := w.cellEnd(row, p, quoted)
			if e < 0 {
				return false
			}
			if op == roleUnit {
				unit = row[p:e]
			}
			p = e
		}
		if quoted {
			if p >= len(row) || row[p] != '"' {
				return false
			}
			p++
		}
		if k < last {
			if p >= len(row) || row[p] != sep {
				return false
			}
			p++
		}
	}
	if p != len(row) || tag < 0 {
		return false
	}
	spec := w.specs[tag]
	if w.f.unitCol >= 0 && (spec.rowUnit || string(unit) != string(w.units[tag])) {
		return false
	}
	w.prev = tag
	s := w.b.seg(tag)
	s.rows++
	w.put(s, spec, ms, st, v, q, off)
	return true
}

// cellEnd gives where the plain cell at p ends, -1 when it is not plain.
func (w *worker) cellEnd(row []byte, p int, quoted bool) int {
	c := w.f.sep
	if quoted {
		c = '"'
	}
	n := bytes.IndexByte(row[p:], c)
	if n < 0 {
		if quoted {
			return -1
		}
		return len(row)
	}
	if quoted && p+n+1 < len(row) && row[p+n+1] == '"' {
		return -1
	}
	return p + n
}

// wideFast reads a row of a wide file without quotes.
func (w *worker) wideFast(row []byte, off int) bool {
	f := w.f
	if len(row) == 0 || bytes.Count(row, f.sepBytes)+1 != len(f.cols) || bytes.IndexByte(row, '"') >= 0 || len(row) > maxRecord || isBinary(row) {
		return false
	}
	p := 0
	k := 0
	for ; f.cols[k].role != roleTime; k++ {
		p += bytes.IndexByte(row[p:], f.sep) + 1
	}
	ms, st, n := w.tm.fast(row[p:])
	if n == 0 || p+n < len(row) && row[p+n] != f.sep {
		e := w.cellEnd(row, p, false)
		ms, st = w.tm.read(row[p:e])
		n = e - p
	}
	if st > timeTwice {
		return false
	}
	p += n
	var held cellOf
	for k++; k < len(f.cols); k++ {
		p++ // the separator
		c := &f.cols[k]
		switch c.role {
		case roleValue:
			if held.col != nil {
				w.wideCell(&held, ms, st, off)
			}
			if p == len(row) || row[p] == f.sep {
				held = cellOf{col: c}
				continue
			}
			var v float64
			var n int
			if at := off + p; at+32 <= len(w.b.buf) {
				v, n = hotNumber((*[32]byte)(w.b.buf[at:]), f.dec)
			}
			if n == 0 {
				v, n = parseNumber(row[p:], f.dec)
			}
			if n > 0 && (p+n == len(row) || row[p+n] == f.sep) {
				if c.pair { // its quality is still to come
					held = cellOf{col: c, text: row[p : p+n], v: v, number: true}
				} else {
					held.col = nil
					s := w.b.seg(c.tag)
					s.rows++
					w.put(s, w.specs[c.tag], ms, st, v, 0, off)
				}
				p += n
				continue
			}
			e := w.cellEnd(row, p, false)
			held = cellOf{col: c, text: row[p:e]}
			p = e
		default:
			e := w.cellEnd(row, p, false)
			held.attach(c, row[p:e])
			p = e
		}
	}
	if held.col != nil {
		w.wideCell(&held, ms, st, off)
	}
	return true
}

// cellOf is a value cell and what belongs to it.
type cellOf struct {
	col     *column
	text    []byte
	v       float64
	number  bool
	missing bool // the row ends before it
	quality []byte
	hasQ    bool
	unit    []byte
	hasUnit bool
	signs   []signCell
}

type signCell struct {
	col  *column
	text []byte
}

func (c *cellOf) attach(col *column, text []byte) {
	if c.col == nil {
		return
	}
	switch col.role {
	case roleQuality:
		c.quality, c.hasQ = text, true
	case roleUnit:
		c.unit, c.hasUnit = text, true
	case roleSign:
		c.signs = append(c.signs, signCell{col, text})
	}
}

// wideCell takes one value cell of a wide row, with its quality and unit.
func (w *worker) wideCell(c *cellOf, ms int64, st timeStatus, off int) {
	s := w.b.seg(c.col.tag)
	s.rows++
	var q series.Flag
	if c.hasQ {
		if q = w.q.read(c.quality); q == 0 && w.f.step == 2 && (w.goodWord.n == 0 || w.goodText != string(c.quality)) {
			w.goodText = string(c.quality)
			w.goodWord = makeWord(append([]byte{w.f.sep}, c.quality...))
		}
	}
	for _, x := range c.signs {
		w.sign(x.col, x.text)
	}
	spec := w.specs[c.col.tag]
	if c.hasUnit {
		if c.unit = trim(c.unit); len(trim(c.text)) > 0 {
			w.meetUnit(c.col.tag, c.unit)
		}
	}
	if c.number && len(c.unit) == 0 && !spec.unitAsked {
		w.put(s, spec, ms, st, c.v, q, off)
		return
	}
	w.cell(s, c.col.tag, spec, ms, st, c.text, q, c.hasQ, c.unit, off)
}
