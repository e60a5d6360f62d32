package export

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path"
	"runtime"
	"slices"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// reader holds one call of Read.
type reader struct {
	ctx     context.Context
	opt     Options
	fills   *cell.FillSet
	fold    map[string]string // tag of tags.csv by its lower-case name
	bases   map[string]bool   // the files' names, lower case; see tagOfFile
	from    int64
	to      int64
	record  *series.Stretch // where nearly all readings lie; nil: all, or not known yet
	workers int
	block   int

	tables []*table
	res    *Result
	info   map[string]*tagStats
	states *cell.StateReader

	names map[*time.Location]map[string]int64 // see NamesOf

	total, done int64
	reported    int64
}

// table is one file, or one member of an archive, as read.
type table struct {
	merge.Table
	src                  *rule.SourceRule
	info                 FileInfo
	fills                map[string][]float64     // numbers that stand for no value, by tag: see settleFills
	asked, readings      map[string][]float64     // asked about and used; usual fill numbers that are readings
	units                map[string]cell.UnitPlan // of tags whose rows state their units
	orderOpen, orderTold bool                     // every date fits both orders and nothing tells which; something tells it
	own                  map[string]bool          // tags that count in the unit this table states, though tags.csv states another
	found                *merge.PassResult        // of the last pass, until the table is accounted for

	// Of a file that holds several tables, one below the other.
	file   string // its name, of all but the first
	nth    int    // of the tables
	offset int64  // the same, in bytes of the decoded text
	mark   bool   // the file begins with a byte order mark
	until  int    // lines of the file up to the next table; 0: none follows
	next   *table
}

func read(ctx context.Context, files []record.File, opt Options) (*Result, error) {
	r := &reader{ctx: ctx, opt: opt, fills: cell.NewFillSet(opt.FillNumbers), from: math.MinInt64, to: math.MaxInt64,
		workers: opt.Workers, block: opt.BlockSize, info: map[string]*tagStats{}, bases: map[string]bool{}, states: cell.NewStateReader(opt.StateWords),
		res: &Result{clocks: map[string]*time.Location{}}}
	if r.opt.Zone == nil {
		r.opt.Zone = time.UTC
	}
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
	for _, k := range lex.SortedKeys(opt.Rules) {
		r.fold[lex.Folded(k)] = k
	}
	files = append([]record.File(nil), files...)
	sort.SliceStable(files, func(i, j int) bool {
		if files[i].Name != files[j].Name {
			return files[i].Name < files[j].Name
		}
		return files[i].Size < files[j].Size
	})
	for _, f := range files {
		r.total += f.Size
		r.bases[strings.ToLower(layout.BaseName(f.Name))] = true
	}
	looks, stop := r.lookAhead(files)
	defer stop()
	for _, f := range files {
		if err := r.file(f, <-<-looks); err != nil {
			return nil, err
		}
	}
	if err := r.settleAcross(); err != nil {
		return nil, err
	}
	for _, t := range r.tables {
		r.account(t)
	}
	if err := r.assemble(); err != nil {
		return nil, err
	}
	r.finish()
	return r.res, nil
}

// head is what a look at a file's beginning gave.
type head struct {
	members []record.Member
	err     error
	tables  []*table // by member
	bad     []error  // what kept a table from being read
}

// lookAhead looks at the files' beginnings, some files ahead of the reading. Each
// look gives its head when it is done; looks come in the order of the files. stop
// begins no more.
func (r *reader) lookAhead(files []record.File) (looks chan chan head, stop func()) {
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
				if err := record.Safely(f.Name, func() { h = r.head(f) }); err != nil {
					h.err = err
				}
				one <- h
			}()
		}
	}()
	return looks, func() { close(done) }
}

func (r *reader) head(f record.File) (h head) {
	if h.members, h.err = record.Members(f); h.err != nil {
		return h
	}
	for _, m := range h.members {
		t := &table{Table: merge.Table{M: m}, src: r.source(m.Name)}
		h.tables = append(h.tables, t)
		h.bad = append(h.bad, r.look(t))
	}
	return h
}

// file reads one file of any packing, whose beginning was looked at.
func (r *reader) file(f record.File, h head) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	info := FileInfo{Name: f.Name, Bytes: f.Size}
	hash := record.StartHash(r.ctx, f, r.opt.Hash)
	defer hash.Stop()
	before := r.done
	if h.err != nil {
		info.Format = "not read"
		info.SHA256, _ = hash.Wait() // empty where not even that could be read
		r.res.Files = append(r.res.Files, info)
		return r.damaged(f.Name, 0, h.err)
	}
	if len(h.members) == 0 {
		info.Format = "an empty archive"
		info.SHA256, _ = hash.Wait()
		r.res.Files = append(r.res.Files, info)
		r.message(ledger.Warning, f.Name, 0, "the archive holds no file")
	}
	first := len(r.tables)
	for i, t := range h.tables {
		t.info = info
		t.info.Name = t.M.Name
		if i > 0 {
			t.info.Bytes = 0
		}
		for bad := h.bad[i]; t != nil; t, bad = t.next, nil {
			if t.file != "" {
				t.info = FileInfo{Name: t.M.Name}
			}
			if err := r.table(t, bad); err != nil {
				return err
			}
			if t.next != nil {
				t.next.follows(t)
			}
		}
	}
	sum, err := hash.Wait()
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
	var refused *layout.Refusal
	if errors.As(err, &refused) {
		r.ask(ledger.Error, file, line, refused.Asks, refused.Text)
		return nil
	}
	r.message(ledger.Error, file, line, err.Error())
	return nil
}

// ask says what a key of plant.toml can settle about a file.
func (r *reader) ask(s ledger.Severity, file string, line int, q ledger.Question, text string) {
	r.res.Messages = append(r.res.Messages, ledger.Message{Severity: s, File: file, Line: line, Text: text, Asks: q})
}

func (r *reader) message(s ledger.Severity, file string, line int, text string) {
	r.res.Messages = append(r.res.Messages, ledger.Message{Severity: s, File: file, Line: line, Text: text})
}

func (r *reader) progress(n int64) {
	r.done += n
	if r.opt.Progress == nil || r.done-r.reported < 4<<20 && r.done < r.total {
		return
	}
	r.reported = r.done
	r.opt.Progress(min(r.done, r.total), r.total)
}

// source finds the rule for a file: the first whose patterns match.
func (r *reader) source(name string) *rule.SourceRule {
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
func (r *reader) spec(t *table, name, head, declared, desc string) *cell.TagSpec {
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
	plan.Rows = t.F.Shape == layout.Long
	plan.Own, plan.Across = r.unitsDiffer(t, name, declared), t.own[name]
	fills := r.fills
	switch {
	case t.src != nil && t.src.FillNumbers != nil && len(t.src.FillNumbers) == 0:
		fills = nil
	case t.src != nil && t.src.FillNumbers != nil:
		fills = cell.NewFillSet(append(rule.DefaultFillNumbers(), t.src.FillNumbers...))
	case len(t.fills[name])+len(t.readings[name]) > 0:
		list := slices.DeleteFunc(rule.DefaultFillNumbers(), func(v float64) bool { return slices.Contains(t.readings[name], v) })
		fills = cell.NewFillSet(append(list, t.fills[name]...))
	}
	return cell.SpecFor(name, declared, desc, r.opt.Rules, fills, plan)
}

// finish fills in what is known once every file is read.
func (r *reader) finish() {
	var missing []string
	for _, name := range lex.SortedKeys(r.info) {
		i := r.info[name].finish(name)
		r.res.Tags = append(r.res.Tags, i)
		if !i.Ruled {
			missing = append(missing, name)
		}
		if r.opt.Rules[name].AllowsWords() && len(r.info[name].words) > 0 {
			r.reportStates(name, r.info[name].words)
		}
	}
	if len(missing) > 0 {
		shown := missing
		more := ""
		if len(shown) > 12 {
			shown, more = shown[:12], fmt.Sprintf(" and %d more", len(missing)-12)
		}
		r.message(ledger.Note, "", 0, fmt.Sprintf("%s not in tags.csv and %s not used: %s%s", lex.Counted(len(missing), "tag of the exports is", "tags of the exports are"), lex.Pick(len(missing), "was", "were"), strings.Join(shown, ", "), more))
	}
	r.unstatedUnits()
	for _, name := range lex.SortedKeys(r.opt.Rules) {
		if i := r.info[name]; i == nil {
			r.message(ledger.Warning, "", 0, "tag "+name+" of tags.csv is in none of the exports")
		}
	}
	for _, t := range r.tables {
		r.res.Files = append(r.res.Files, t.info)
		var rows []ledger.LedgerRow
		byTag := map[string]int{}
		for _, k := range t.Tracks {
			if k == nil || k.Led.Rows == 0 {
				continue
			}
			if i, ok := byTag[k.Spec.Name]; ok { // two columns of one tag
				rows[i].Add(k.Led)
				continue
			}
			byTag[k.Spec.Name] = len(rows)
			rows = append(rows, k.Led)
		}
		if t.Untagged.Rows > 0 {
			rows = append(rows, t.Untagged)
		}
		sort.Slice(rows, func(i, j int) bool { return rows[i].Tag < rows[j].Tag })
		r.res.Ledger = append(r.res.Ledger, rows...)
		r.rowTexts(t)
		for why := range t.Aside {
			t.Aside[why].Trim()
			r.res.SetAside = append(r.res.SetAside, t.Aside[why].Rows...)
		}
	}
	sort.SliceStable(r.res.Files, func(i, j int) bool { return ledger.CompareNames(r.res.Files[i].Name, r.res.Files[j].Name) < 0 })
	sort.SliceStable(r.res.Ledger, func(i, j int) bool { return ledger.CompareNames(r.res.Ledger[i].File, r.res.Ledger[j].File) < 0 })
	ledger.SortAside(r.res.SetAside)
	r.labCells()
	r.reportAside()
	m := r.res.Messages
	sort.SliceStable(m, func(i, j int) bool {
		switch {
		case m[i].File != m[j].File:
			return ledger.CompareNames(m[i].File, m[j].File) < 0
		case m[i].Line != m[j].Line:
			return m[i].Line < m[j].Line
		}
		return m[i].Text < m[j].Text
	})
}

// namesOf gives the abbreviations of a zone, looked up once.
func (r *reader) namesOf(loc *time.Location) map[string]int64 {
	if r.names == nil {
		r.names = map[*time.Location]map[string]int64{}
	}
	if r.names[loc] == nil {
		r.names[loc] = stamp.NamesOf(loc)
	}
	return r.names[loc]
}

// zoneFor settles the clock of a table.
func (r *reader) zoneFor(t *table) {
	loc := r.opt.Zone
	if t.src != nil && t.src.Zone != nil {
		loc = t.src.Zone
		t.F.Time.Fixed = false // what plant.toml says counts above the heading
	}
	t.F.Time.ZoneStated = t.src != nil && t.src.Zone != nil
	t.F.Time.Clock, t.F.Time.Names = stamp.ZoneOf(loc), r.namesOf(loc)
	if sec, ok := t.F.Time.Names[t.F.HeadWord]; ok && t.F.Time.Fixed {
		t.F.Time.Offset = sec
		if winter, summer := stamp.YearOffsets(loc, 2026); winter != summer {
			t.F.Note(ledger.Note, 0, "the heading says %s: the times are taken at %s all year. Write time_zone = %q for the file under [[source]] in plant.toml if the clock follows summer time", t.F.HeadWord, stamp.InWords(sec), loc)
		}
	}
	t.F.Zone = loc.String()
	switch {
	case t.F.Time.Kind >= stamp.EpochTime:
		t.F.Zone = "UTC"
	case t.F.Time.Fixed:
		t.F.Zone = stamp.InWords(t.F.Time.Offset) + ", as the heading says"
	}
	t.F.StatedZone.Apply(t.F, loc)
	if t.src != nil && t.src.ClockOffset != 0 {
		t.F.Time.Shift = t.src.ClockOffset.Milliseconds()
		t.F.Zone += fmt.Sprintf(", clock offset %v", t.src.ClockOffset)
	}
}
