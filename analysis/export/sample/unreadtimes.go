package sample

import (
	"bytes"
	"fmt"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// unreadTimes looks for a column whose cells look like times and cannot be read, and
// shows one; nil where there is none.
func unreadTimes(head []byte, whole bool, term byte, seps []byte) error {
	for _, sep := range seps {
		type seen struct {
			n, line int
			cell    string
		}
		var cols []seen
		rows := 0
		for _, l := range splitSample(head, whole, sep, term) {
			fs, _ := record.SplitRow(l.Text, sep, nil, nil)
			if len(fs) < 2 || len(lex.Trim(l.Text)) == 0 {
				continue
			}
			rows++
			for k, cell := range fs {
				for len(cols) <= k {
					cols = append(cols, seen{})
				}
				t := lex.Trim(cell)
				if _, read := AnyTime(t); !read && looksLikeTime(t) {
					if cols[k].n++; cols[k].n == 1 {
						cols[k].line, cols[k].cell = l.First+1, record.Shown(t)
					}
				}
			}
		}
		for _, c := range cols {
			if c.n > 0 && c.n*10 >= (rows-1)*8 {
				return fmt.Errorf("no table of readings found: what looks like its times cannot be read, %q in line %d for one. Export them as year-month-day hour:minute, such as 2026-03-25 06:15, with an offset such as -05:00 where they need one", c.cell, c.line)
			}
		}
	}
	return nil
}

// looksLikeTime tells cells with three or more numbers in them, two marks of dates or
// times of day between them, and nothing that values have.
func looksLikeTime(t []byte) bool {
	if len(t) < 6 || len(t) > 60 || cell.Numeric(t) {
		return false
	}
	groups, marks, in := 0, 0, false
	for i, c := range t {
		d := c-'0' <= 9
		if d && !in {
			groups++
		}
		in = d
		if i > 0 && (c == ':' || c == '/' || c == '-' || c == '.') {
			marks++
		}
	}
	return groups >= 3 && marks >= 2 && !bytes.ContainsAny(t, "\\@=")
}
