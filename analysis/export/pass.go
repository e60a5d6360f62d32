package export

import (
	"bytes"
	"errors"
	"io"
)

// passed is what a pass over a table found, besides its readings.
type passed struct {
	blanks, comments, rows int
	dates                  dateLooks
	unknownQ               map[string]bool
	marks                  markCounts
	codes                  map[uint64]int // quality numbers met, once each
	stats                  []*segStats    // by tag number
	tab                    *tagTable
	starred                int
	units                  map[int]map[string]bool // stated beside the values of a wide file, by tag number
	err                    error                   // the stream's
	errLine                int
	turn                   int // line where another table begins; 0: none
	turnText               string
}

// pass reads all rows of a table. Workers take blocks in turn, and what they made
// of them is merged in the file's order, so that results do not depend on who was
// faster. With collect, nothing is kept and counted: every reading of
// the tags that it knows is told instead.
func (r *reader) pass(t *table, collect map[string]*tagPieces) (*passed, error) {
	f := t.f
	rc, err := t.m.open()
	if err != nil {
		return &passed{}, r.damaged(t.m.name, 0, err)
	}
	defer rc.Close()
	stream, err := t.stream(rc)
	if err != nil {
		return &passed{}, r.damaged(t.m.name, 0, err)
	}
	stream, skipped := skipLines(stream, f.skip, f.term)
	size := t.m.size
	if t.until > 0 {
		stream, size = &untilLine{stream, t.until - t.from - skipped, f.term}, 0
	}
	cut := &cutter{r: stream, sep: f.sep, term: f.term, size: r.block}
	p := &passed{unknownQ: map[string]bool{}, codes: map[uint64]int{}}
	p.tab = &tagTable{byKey: map[string]int{}}
	p.tab.make = func(name, declared string) *tagSpec { return r.spec(t, name, "", declared, "") }
	if f.layout == wide {
		for i := range f.cols {
			if c := &f.cols[i]; c.role == roleValue {
				if f.hourly && len(p.tab.specs) > 0 {
					c.tag = 0
					continue
				}
				c.tag = len(p.tab.specs)
				s := r.spec(t, c.name, c.head, c.unit, c.desc)
				p.tab.specs = append(p.tab.specs, s)
				p.tab.byKey[c.name+"\x00"+c.unit] = c.tag
			}
		}
	}
	g := &merger{lead: -1, ctx: r.ctx, t: &t.tableRuns, p: p, line: t.from + skipped + 1, size: size, collect: collect}
	if collect == nil && t.m.packed == "" {
		g.read = func(n int) { r.progress(int64(n)) }
	}
	ws := make([]*worker, r.workers)
	// Where commas separate fields and decimals as well, only whole cells tell a
	// number's end: "645,5" beside 647,3.
	byCell := r.opt.longWay || f.weigh || f.dec == f.sep
	for i := range ws {
		ws[i] = newWorker(f, p.tab, r.from, r.to)
		ws[i].stateWords = r.states
		ws[i].longWay, ws[i].looks = byCell, r.opt.Looks
	}
	if err := g.run(cut, ws); err != nil {
		return nil, err
	}
	p.units = metUnits(ws)
	for _, w := range ws {
		p.starred += w.starred
		p.dates.join(w.tm.dates)
		p.marks.join(&w.marks)
		for k := range w.q.unknown {
			p.unknownQ[k] = true
		}
		for k := range w.q.seen {
			if code, ok := qualityNumber(trim([]byte(k))); ok {
				p.codes[code] = 1
			}
		}
	}
	if p.err != nil && collect == nil {
		if err := r.damaged(t.m.name, p.errLine, errors.New("the file breaks off here ("+p.err.Error()+"); what stood before is used")); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// encodingKey is the encoding as guessEncoding names it.
func (f *format) encodingKey() string {
	if f.encoding == "UTF-8" {
		return "utf-8"
	}
	return f.encoding
}

// skipLines drops the first n lines.
func skipLines(r io.Reader, n int, term byte) (io.Reader, int) {
	if n == 0 {
		return r, 0
	}
	buf := make([]byte, 0, 64<<10)
	tmp := make([]byte, 16<<10)
	seen, at := 0, 0
	for {
		k, err := r.Read(tmp)
		buf = append(buf, tmp[:k]...)
		for seen < n {
			i := bytes.IndexByte(buf[at:], term)
			if i < 0 {
				break
			}
			at += i + 1
			seen++
		}
		if seen == n || err != nil {
			return io.MultiReader(bytes.NewReader(buf[at:]), r), seen
		}
	}
}
