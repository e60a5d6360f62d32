package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// Of a tag's rows in one file that hold something: from this share on, rows set
// aside are told, and from the greater on with a warning. Our choice.
const (
	reportShare = 0.1
	mostShare   = 0.5
)

// lossReasons are why rows that hold something are lost; a blank is nothing, a
// repeat loses nothing, and the rest has messages of its own (see misfits,
// winterClock, UndetectedMessage).
var lossReasons = []ledger.Reason{ledger.TextValue, ledger.BadNumber, ledger.UnitUnknown, ledger.BadTime, ledger.Conflicting, ledger.CutShort}

// reportAside tells of which tags a good part of a file's rows was set aside, why,
// and what the first of them holds. The ledger and the rows set aside are sorted.
func (r *reader) reportAside() {
	byFile := map[string]*table{}
	for _, t := range r.tables {
		byFile[t.M.Name] = t
	}
	type loss struct {
		tags    []string
		n, rows int
		most    bool
	}
	for i := 0; i < len(r.res.Ledger); {
		file := r.res.Ledger[i].File
		var losses [ledger.NumReasons]loss
		for ; i < len(r.res.Ledger) && r.res.Ledger[i].File == file; i++ {
			l := &r.res.Ledger[i]
			rows := l.Rows - l.Aside[ledger.BlankValue] - l.Aside[ledger.OutsidePeriod] - l.Aside[ledger.Repeated] - l.Aside[ledger.DateOrder]
			if l.Tag == "" {
				r.reportUntagged(byFile[file], l)
				continue
			}
			if l.Aside[ledger.NotInTags] > 0 || rows == 0 {
				continue
			}
			sum, why := 0, ledger.TextValue
			for _, x := range lossReasons {
				if sum += l.Aside[x]; l.Aside[x] > l.Aside[why] {
					why = x
				}
			}
			if float64(sum) < reportShare*float64(rows) {
				continue
			}
			x := &losses[why]
			x.tags = append(x.tags, l.Tag)
			x.n += l.Aside[why]
			x.rows += rows
			x.most = x.most || float64(sum) >= mostShare*float64(rows)
		}
		for why, x := range losses {
			if len(x.tags) == 0 {
				continue
			}
			sev := ledger.Note
			if x.most {
				sev = ledger.Warning
			}
			line, first := r.firstAside(file, x.tags[0], ledger.Reason(why))
			if ledger.Reason(why) == ledger.CutShort && x.most || ledger.Reason(why) == ledger.TextValue && (cell.NotDetected[strings.ToLower(first)] || r.laboratoryWord(x.tags[0], first)) {
				continue // told already
			}
			text := fmt.Sprintf("%s: %d of %s %s set aside (%s)", tagsNamed(x.tags), x.n, lex.Counted(x.rows, "row", "rows"), lex.Pick(x.n, "was", "were"), ledger.Reason(why))
			if first != "" {
				text += fmt.Sprintf(", first %q", first)
			}
			advice, q := asideAdvice(ledger.Reason(why), first, byFile[file])
			r.res.Messages = append(r.res.Messages, ledger.Message{Severity: sev, File: file, Line: line, Text: text + ". " + advice, Asks: q})
		}
	}
}

// reportUntagged tells of rows that belong to no tag.
func (r *reader) reportUntagged(t *table, l *ledger.LedgerRow) {
	n := l.Aside[ledger.NotARow] + l.Aside[ledger.NoTag]
	if t == nil || float64(n) < mostShare*float64(t.info.Rows) {
		return
	}
	why := ledger.NotARow
	if l.Aside[ledger.NoTag] > l.Aside[why] {
		why = ledger.NoTag
	}
	line, first := r.firstAside(l.File, "", why)
	r.message(ledger.Warning, l.File, line, fmt.Sprintf("%d of %s %s set aside (%s), first %q. Look whether the table is what the report says it was taken for; [[source]] in plant.toml can say what its columns are",
		n, lex.Counted(t.info.Rows, "row", "rows"), lex.Pick(n, "was", "were"), why, first))
}

// firstAside finds the first row set aside of a tag, or of the whole row.
func (r *reader) firstAside(file, tag string, why ledger.Reason) (line int, text string) {
	for _, x := range r.res.SetAside {
		if x.File == file && x.Reason == why && (x.Tag == tag || x.Tag == "") {
			return x.Line, x.Text
		}
	}
	return 0, ""
}

func tagsNamed(tags []string) string {
	const most = 4
	switch n := len(tags); {
	case n == 1:
		return "tag " + tags[0]
	case n > most:
		return fmt.Sprintf("tags %s and %d more", strings.Join(tags[:most], ", "), n-most)
	}
	return "tags " + strings.Join(tags, ", ")
}

// asideAdvice says what to do about rows set aside, and which key may settle it.
func asideAdvice(why ledger.Reason, first string, t *table) (text string, q ledger.Question) {
	switch why {
	case ledger.TextValue:
		if t != nil && t.F != nil && strings.ContainsAny(first, "0123456789") {
			switch {
			case t.F.Dec == '.' && strings.Contains(first, ","):
				return `If the comma is the decimal mark, write decimal = "," for the file under [[source]] in plant.toml`, ledger.Question{Key: "decimal", Values: []string{","}}
			case t.F.Dec == ',' && strings.Contains(first, "."):
				return `If the point is the decimal mark, write decimal = "." for the file under [[source]] in plant.toml`, ledger.Question{Key: "decimal", Values: []string{"."}}
			}
		}
		return "Export the values as plain numbers; set-aside.csv of a run lists the rows", ledger.Question{}
	case ledger.UnitUnknown:
		return "Correct the unit in the export, or the unit and what is measured in tags.csv", ledger.Question{}
	case ledger.BadTime:
		if t != nil && t.F != nil && t.F.Times.Time >= 0 {
			fs, _ := record.SplitRow([]byte(first), t.F.Sep, nil, nil)
			if len(fs) <= t.F.Times.Time || len(lex.Trim(fs[t.F.Times.Time])) == 0 {
				return "They hold no time: export them with one", ledger.Question{}
			}
		}
		return "date_order or time_column under [[source]] in plant.toml may be what is missing", ledger.Question{Key: "date_order"}
	case ledger.Conflicting:
		return "Rows of one time differ: perhaps two tags or two places stand under one name, or the export leaves out the seconds", ledger.Question{}
	case ledger.CutShort:
		return "The columns are in doubt there; export the file again", ledger.Question{}
	}
	return "set-aside.csv of a run lists the rows", ledger.Question{}
}
