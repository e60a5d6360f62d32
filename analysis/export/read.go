package export

import (
	"context"
	"fmt"
	"math"
	"path"
	"runtime"
	"sort"
	"strings"
	"time"
)

// reader holds one call of Read.
type reader struct {
	ctx     context.Context
	opt     Options
	fills   *fillSet
	fold    map[string]string // tag of tags.csv by its lower-case name
	bases   map[string]bool   // the files' names, lower case; see tagOfFile
	from    int64
	to      int64
	workers int
	block   int

	tables []*table
	res    *Result
	info   map[string]*tagStats
	states *stateReader

	names map[*time.Location]map[string]int64 // see namesOf

	total, done int64
	told        int64
}

// table is one file, or one member of an archive, as read.
type table struct {
	tableRuns
	src   *SourceRule
	info  FileInfo
	units map[string]unitPlan // of tags whose rows state their units

	// Of a file that holds several tables, one below the other.
	file   string // its name, of all but the first
	nth    int    // of the tables
	offset int64  // the same, in bytes of the decoded text
	mark   bool   // the file begins with a byte order mark
	until  int    // lines of the file up to the next table; 0: none follows
	next   *table
}

func read(ctx context.Context, files []File, opt Options) (*Result, error) {
	r := &reader{ctx: ctx, opt: opt, fills: newFillSet(opt.FillNumbers), from: math.MinInt64, to: math.MaxInt64,
		workers: opt.Workers, block: opt.BlockSize, info: map[string]*tagStats{}, bases: map[string]bool{}, states: newStateReader(opt.StateWords),
		res: &Result{clocks: map[string]*time.Location{}}}
	if r.workers <= 0 {
		// Blocks are cut one after the other: more than some six workers would
		// only wait for that.
		r.workers = min(runtime.GOMAXPROCS(0), 6)
	}
	if r.block <= 0 {
		r.block = 128 << 10 // with what is made of them, a few blocks fit the second-level cache
	}
	if !opt.From.IsZero() {
		r.from = opt.From.UnixMilli()
	}
	if !opt.To.IsZero() {
		r.to = opt.To.UnixMilli()
	}
	r.fold = map[string]string{}
	for _, k := range sortedKeys(opt.Rules) {
		r.fold[folded(k)] = k
	}
	files = append([]File(nil), files...)
	sort.SliceStable(files, func(i, j int) bool {
		if files[i].Name != files[j].Name {
			return files[i].Name < files[j].Name
		}
		return files[i].Size < files[j].Size
	})
	for _, f := range files {
		r.total += f.Size
		r.bases[strings.ToLower(baseName(f.Name))] = true
	}
	looks, stop := r.lookAhead(files)
	defer stop()
	for _, f := range files {
		if err := r.file(f, <-<-looks); err != nil {
			return nil, err
		}
	}
	if err := r.assemble(); err != nil {
		return nil, err
	}
	r.finish()
	return r.res, nil
}

// head is what a look at a file's beginning gave.
type head struct {
	members []member
	err     error
	tables  []*table // by member
	bad     []error  // what kept a table from being read
}

// lookAhead looks at the files' beginnings, some files ahead of the reading. Each
// look gives its head when it is done; looks come in the order of the files. stop
// begins no more.
func (r *reader) lookAhead(files []File) (looks chan chan head, stop func()) {
	looks = make(chan chan head, 2*r.workers)
	done := make(chan struct{})
	go func() {
		for _, f := range files {
			one := make(chan head, 1)
			select {
			case looks <- one:
			case <-done:
				return
			}
			go func() {
				var h head
				if err := safely(f.Name, func() { h = r.head(f) }); err != nil {
					h.err = err
				}
				one <- h
			}()
		}
	}()
	return looks, func() { close(done) }
}

func (r *reader) head(f File) (h head) {
	if h.members, h.err = members(f); h.err != nil {
		return h
	}
	for _, m := range h.members {
		t := &table{tableRuns: tableRuns{m: m}, src: r.source(m.name)}
		h.tables = append(h.tables, t)
		h.bad = append(h.bad, r.look(t))
	}
	return h
}

// file reads one file of any packing, whose beginning was looked at.
func (r *reader) file(f File, h head) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	info := FileInfo{Name: f.Name, Bytes: f.Size}
	hash := startHash(r.ctx, f, r.opt.Hash)
	defer hash.stop()
	before := r.done
	if h.err != nil {
		info.Format = "not read"
		info.SHA256, _ = hash.wait() // empty where not even that could be read
		r.res.Files = append(r.res.Files, info)
		return r.damaged(f.Name, 0, h.err)
	}
	if len(h.members) == 0 {
		info.Format = "an empty archive"
		info.SHA256, _ = hash.wait()
		r.res.Files = append(r.res.Files, info)
		r.message(Warning, f.Name, 0, "the archive holds no file")
	}
	first := len(r.tables)
	for i, t := range h.tables {
		t.info = info
		t.info.Name = t.m.name
		if i > 0 {
			t.info.Bytes = 0
		}
		for bad := h.bad[i]; t != nil; t, bad = t.next, nil {
			if t.file != "" {
				t.info = FileInfo{Name: t.m.name}
			}
			if err := r.table(t, bad); err != nil {
				return err
			}
			if t.next != nil {
				t.next.follows(t)
			}
		}
	}
	sum, err := hash.wait()
	if err != nil {
		if err := r.damaged(f.Name, 0, fmt.Errorf("its SHA-256 could not be taken: %w", err)); err != nil {
			return err
		}
	}
	for _, t := range r.tables[first:] {
		t.info.SHA256 = sum
	}
	r.progress(before + f.Size - r.done)
	return nil
}

// damaged reports a file that cannot be read; with Strict it ends the run.
func (r *reader) damaged(file string, line int, err error) error {
	if c := r.ctx.Err(); c != nil {
		return c
	}
	if r.opt.Strict {
		if line > 0 {
			return fmt.Errorf("%s:%d: %w", file, line, err)
		}
		return fmt.Errorf("%s: %w", file, err)
	}
	r.message(Error, file, line, err.Error())
	return nil
}

func (r *reader) message(s Severity, file string, line int, text string) {
	r.res.Messages = append(r.res.Messages, Message{Severity: s, File: file, Line: line, Text: text})
}

func (r *reader) progress(n int64) {
	r.done += n
	if r.opt.Progress == nil || r.done-r.told < 4<<20 && r.done < r.total {
		return
	}
	r.told = r.done
	r.opt.Progress(min(r.done, r.total), r.total)
}

// source finds the rule for a file: the first whose patterns match.
func (r *reader) source(name string) *SourceRule {
	for i := range r.opt.Sources {
		s := &r.opt.Sources[i]
		if len(s.Files) == 0 {
			return s
		}
		for _, p := range s.Files {
			if matchName(p, name) {
				return s
			}
		}
	}
	return nil
}

// matchName matches a pattern against a name, any tail of its path, and the
// archive it stands in.
func matchName(pattern, name string) bool {
	pattern, name = strings.ToLower(path.Clean(strings.ReplaceAll(pattern, "\\", "/"))), strings.ToLower(strings.ReplaceAll(name, "\\", "/"))
	parts := strings.Split(name, "/")
	for i := range parts {
		for j := len(parts); j > i; j-- {
			if ok, err := path.Match(pattern, strings.Join(parts[i:j], "/")); err == nil && ok {
				return true
			}
		}
	}
	return false
}

// spec settles the rules for a tag of a table.
func (r *reader) spec(t *table, name, head, declared, desc string) *tagSpec {
	if r.opt.Rules != nil {
		for _, n := range []string{name, head} {
			if n == "" {
				continue
			}
			if _, ok := r.opt.Rules[n]; ok {
				name = n
				break
			}
			if k, ok := r.fold[strings.ToLower(n)]; ok {
				name = k
				break
			}
		}
	}
	plan := t.units[name]
	plan.rows = t.f.layout == long
	return specFor(name, declared, desc, r.opt.Rules, r.fills, plan)
}

// finish fills in what is known once every file is read.
func (r *reader) finish() {
	var missing []string
	for _, name := range sortedKeys(r.info) {
		i := r.info[name].finish(name)
		r.res.Tags = append(r.res.Tags, i)
		if !i.Ruled {
			missing = append(missing, name)
		}
		if r.opt.Rules[name].takesWords() && len(r.info[name].words) > 0 {
			r.tellStates(name, r.info[name].words)
		}
	}
	if len(missing) > 0 {
		shown := missing
		more := ""
		if len(shown) > 12 {
			shown, more = shown[:12], fmt.Sprintf(" and %d more", len(missing)-12)
		}
		r.message(Note, "", 0, fmt.Sprintf("%s not in tags.csv and %s not used: %s%s", counted(len(missing), "tag of the exports is", "tags of the exports are"), pick(len(missing), "was", "were"), strings.Join(shown, ", "), more))
	}
	for _, name := range sortedKeys(r.opt.Rules) {
		if i := r.info[name]; i == nil {
			r.message(Warning, "", 0, "tag "+name+" of tags.csv is in none of the exports")
		}
	}
	for _, t := range r.tables {
		r.res.Files = append(r.res.Files, t.info)
		var rows []LedgerRow
		byTag := map[string]int{}
		for _, k := range t.tracks {
			if k == nil || k.led.Rows == 0 {
				continue
			}
			if i, ok := byTag[k.spec.name]; ok { // two columns of one tag
				rows[i].add(k.led)
				continue
			}
			byTag[k.spec.name] = len(rows)
			rows = append(rows, k.led)
		}
		if t.loose.Rows > 0 {
			rows = append(rows, t.loose)
		}
		sort.Slice(rows, func(i, j int) bool { return rows[i].Tag < rows[j].Tag })
		r.res.Ledger = append(r.res.Ledger, rows...)
		r.rowTexts(t)
		for why := range t.aside {
			t.aside[why].trim()
			r.res.SetAside = append(r.res.SetAside, t.aside[why].rows...)
		}
	}
	sort.SliceStable(r.res.Files, func(i, j int) bool { return compareNames(r.res.Files[i].Name, r.res.Files[j].Name) < 0 })
	sort.SliceStable(r.res.Ledger, func(i, j int) bool { return compareNames(r.res.Ledger[i].File, r.res.Ledger[j].File) < 0 })
	sortAside(r.res.SetAside)
	r.tellAside()
	m := r.res.Messages
	sort.SliceStable(m, func(i, j int) bool {
		switch {
		case m[i].File != m[j].File:
			return compareNames(m[i].File, m[j].File) < 0
		case m[i].Line != m[j].Line:
			return m[i].Line < m[j].Line
		}
		return m[i].Text < m[j].Text
	})
}

func (l *LedgerRow) add(o LedgerRow) {
	l.Rows += o.Rows
	l.Used += o.Used
	for i := range l.Aside {
		l.Aside[i] += o.Aside[i]
	}
	l.Bad += o.Bad
	l.Uncertain += o.Uncertain
	l.OutsideSpan += o.OutsideSpan
	l.Fill += o.Fill
	l.LessThan += o.LessThan
	l.GreaterThan += o.GreaterThan
	l.Condensed += o.Condensed
	l.Late += o.Late
}

// namesOf gives the abbreviations of a zone, looked up once.
func (r *reader) namesOf(loc *time.Location) map[string]int64 {
	if r.names == nil {
		r.names = map[*time.Location]map[string]int64{}
	}
	if r.names[loc] == nil {
		r.names[loc] = namesOf(loc)
	}
	return r.names[loc]
}

// zoneFor settles the clock of a table.
func (r *reader) zoneFor(t *table) {
	loc := r.opt.Zone
	if t.src != nil && t.src.Zone != nil {
		loc = t.src.Zone
		t.f.tm.fixed = false // what plant.toml says counts above the heading
	}
	if loc == nil {
		loc = time.UTC
	}
	t.f.tm.told = t.src != nil && t.src.Zone != nil
	t.f.tm.clock, t.f.tm.names = zoneOf(loc), r.namesOf(loc)
	if sec, ok := t.f.tm.names[t.f.headWord]; ok && t.f.tm.fixed {
		t.f.tm.offset = sec
		if winter, summer := yearOffsets(loc, 2026); winter != summer {
			t.f.note(Note, 0, "the heading says %s: the times are taken at %s all year. Write time_zone = %q for the file under [[source]] in plant.toml if the clock follows summer time", t.f.headWord, inWords(sec), loc)
		}
	}
	t.f.zone = loc.String()
	switch {
	case t.f.tm.kind >= epochTime:
		t.f.zone = "UTC"
	case t.f.tm.fixed:
		t.f.zone = inWords(t.f.tm.offset) + ", as the heading says"
	}
	t.f.said.heed(t.f, loc)
	if t.src != nil && t.src.ClockOffset != 0 {
		t.f.tm.shift = t.src.ClockOffset.Milliseconds()
		t.f.zone += fmt.Sprintf(", clock offset %v", t.src.ClockOffset)
	}
}
