package export

import (
	"errors"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
)

// pass reads all rows of a table. Workers take blocks in turn, and what they made
// of them is merged in the file's order, so that results do not depend on who was
// faster. With collect, nothing is kept and counted: every reading of
// the tags that it knows is told instead.
func (r *reader) pass(t *table, collect map[string]*merge.TagPieces) (*merge.PassResult, error) {
	f := t.F
	rc, err := t.M.Open()
	if err != nil {
		return &merge.PassResult{}, r.damaged(t.M.Name, 0, err)
	}
	defer rc.Close()
	stream, err := t.stream(rc)
	if err != nil {
		return &merge.PassResult{}, r.damaged(t.M.Name, 0, err)
	}
	stream, skipped := record.SkipLines(stream, f.Skip, f.Term)
	size := t.M.Size
	if t.until > 0 {
		stream, size = &record.UntilLine{R: stream, Lines: t.until - t.From - skipped, Term: f.Term}, 0
	}
	cut := &record.Cutter{R: stream, Sep: f.Sep, Term: f.Term, Size: r.block}
	p := &merge.PassResult{UnknownQ: map[string]bool{}, Codes: map[uint64]int{}, Lows: map[string]map[float64]int{}}
	p.Tab = &rows.TagTable{ByKey: map[string]int{}}
	p.Tab.Make = func(name, declared string) *cell.TagSpec { return r.spec(t, name, "", declared, "") }
	if f.Shape == layout.Wide {
		r.wideTags(t, p.Tab)
	}
	g := &merge.Merger{Lead: -1, Ctx: r.ctx, T: &t.Table, P: p, Line: t.From + skipped + 1, Size: size, Collect: collect}
	if collect == nil && t.M.Packed == "" {
		g.Read = func(n int) { r.progress(int64(n)) }
	}
	ws := make([]*rows.Worker, r.workers)
	// Where commas separate fields and decimals as well, only whole cells tell a
	// number's end: "645,5" beside 647,3.
	byCell := r.opt.longWay || f.Weigh || f.DecAsk || f.ByTag || f.Dec == f.Sep
	for i := range ws {
		ws[i] = rows.NewWorker(f, p.Tab, r.from, r.to, r.record)
		ws[i].StateWords, ws[i].AllSamples = r.states, r.opt.AllSamples
		ws[i].LongWay, ws[i].Looks = byCell, r.opt.Looks
	}
	if err := g.Run(cut, ws); err != nil {
		return nil, err
	}
	gather(p, ws)
	if collect == nil && !f.Closed {
		if err := r.brokenOff(t, p); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// wideTags numbers the tags of a wide table's columns.
func (r *reader) wideTags(t *table, tab *rows.TagTable) {
	for i := range t.F.Cols {
		c := &t.F.Cols[i]
		if c.Role != layout.RoleValue {
			continue
		}
		if t.F.Hourly && len(tab.Specs) > 0 {
			c.Tag = 0
			continue
		}
		c.Tag = len(tab.Specs)
		head := c.Head
		if c.Nth > 0 { // that is the first one's
			head = ""
		}
		tab.Specs = append(tab.Specs, r.spec(t, c.Name, head, c.Unit, c.Desc))
		tab.ByKey[c.Name+"\x00"+c.Unit] = c.Tag
	}
}

// gather puts together what the workers of a pass found.
func gather(p *merge.PassResult, ws []*rows.Worker) {
	p.Units = rows.MetUnits(ws)
	for _, w := range ws {
		p.Starred += w.Starred
		p.Dates.Join(w.Time.Dates)
		w.JoinLows(p.Lows)
		p.Marks.Join(&w.Marks)
		for k := range w.Q.Unknown {
			p.UnknownQ[k] = true
		}
		for name, codes := range w.TagCodes {
			if p.TagCodes == nil {
				p.TagCodes = map[string]map[uint64]int{}
			}
			if p.TagCodes[name] == nil {
				p.TagCodes[name] = map[uint64]int{}
			}
			for c, n := range codes {
				p.TagCodes[name][c] += n
			}
		}
		for k := range w.Q.Seen {
			if code, ok := cell.QualityNumber(lex.Trim([]byte(k))); ok {
				p.Codes[code] = 1
			}
		}
	}
}

// brokenOff tells of a stream that ended in an error, whatever stood before it.
func (r *reader) brokenOff(t *table, p *merge.PassResult) error {
	switch {
	case p.Err == nil:
		return nil
	case record.Corrupt(p.Err):
		return r.damaged(t.M.Name, 0, errors.New("its bytes are not those that were packed ("+p.Err.Error()+"), so that nothing in it can be relied on: all its rows are set aside. Pack or copy it again"))
	}
	return r.damaged(t.M.Name, p.ErrLine, errors.New("the file breaks off here ("+p.Err.Error()+"); what stood before is used"))
}
