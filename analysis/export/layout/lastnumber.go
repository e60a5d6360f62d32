package layout

import (
	"bytes"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
)

// A file that was cut off while it was written ends in a row without a line end, and
// perhaps within that row's last number: 18 of 18.85.

// lastRows is how many rows of the sample must agree in the decimals of the last
// column, at least, for a last number to be held against them. Our choice.
const lastRows = 8

// tailDecimals counts the decimals of the last column, where all rows of the sample have
// as many.
func (f *Layout) tailDecimals(c *sample.Candidate) {
	last := len(f.Cols) - 1
	if f.Cols[last].Role != RoleValue {
		return
	}
	n, rows := 0, 0
	for i := c.Start; i < len(c.Fields); i++ {
		fs := c.Fields[i]
		if len(fs) != len(f.Cols) || i == len(c.Fields)-1 {
			continue
		}
		d := f.decimals(fs[last])
		if d == 0 || rows > 0 && d != n {
			return
		}
		n = d
		rows++
	}
	if rows >= lastRows {
		f.LastDecimals = n
	}
}

// decimals counts the decimals of a plain number; 0 for what is none.
func (f *Layout) decimals(b []byte) int {
	b = lex.Trim(b)
	i := bytes.IndexByte(b, f.Dec)
	if _, n := lex.ParseNumber(b, f.Dec); n != len(b) || i < 0 {
		return 0
	}
	return len(b) - i - 1
}

// CutOff says whether the last row of a file, which has no line end, ends within its last
// number, as far as its decimals tell.
func (f *Layout) CutOff(row []byte) bool {
	if f.LastDecimals == 0 {
		return false
	}
	fs, _ := record.SplitRow(row, f.Sep, nil, nil)
	if len(fs) != len(f.Cols) {
		return false
	}
	last := lex.Trim(fs[len(fs)-1])
	return len(last) > 0 && last[len(last)-1]-'0' <= 9 && f.decimals(last) < f.LastDecimals || bytes.HasSuffix(last, []byte{f.Dec})
}
