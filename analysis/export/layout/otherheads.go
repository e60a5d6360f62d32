package layout

import (
	"bytes"
	"regexp"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
)

// A file can hold a table a tag, each under a line that is the tag's name and a
// heading that says no more than Time and Value. One such line alone may be a
// title; where the heading comes again under another, the lines are names.

var pageLine = regexp.MustCompile(`(?i)^(?:page|seite|blatt|sheet|página|pagina|part|teil)\b`)

// CaptionLine gives the text of a line that is one cell and may be a name; else "".
func CaptionLine(fs [][]byte, dec byte) string {
	if record.TrimmedWidth(fs) != 1 {
		return ""
	}
	t := lex.Trim(fs[0])
	if len(t) == 0 || len(t) > 60 || bytes.IndexByte(t, ':') >= 0 || cell.IsNumberCell(t, dec) || pageLine.Match(t) {
		return ""
	}
	if _, ok := sample.AnyTime(t); ok {
		return ""
	}
	name := WithoutDates(record.CleanName(fs[0]), FileDate)
	if !strings.ContainsFunc(name, lex.IsNameLetter) {
		return ""
	}
	return name
}

// KeepAbove remembers the lines above a table whose tag is named after its file.
func (f *Layout) KeepAbove(lines [][]byte) {
	f.ByFile = true
	for i, l := range lines[:min(f.HeadAt, len(lines))] {
		fs, _ := record.SplitRow(bytes.TrimRight(l, "\r\n"), f.Sep, nil, nil)
		if len(lex.Trim(l)) == 0 {
			continue
		}
		f.Above = ""
		if i < 200 {
			f.Above = CaptionLine(fs, f.Dec)
		}
		if f.Above != "" {
			f.Titles = append(f.Titles, f.Above)
		}
	}
}

// HeadedAlike says whether a line holds the word that stands above the table's
// times, and no number or, as tags can be numbers, as many cells as the heading.
func (f *Layout) HeadedAlike(fs [][]byte) bool {
	found, numbers := false, false
	for _, x := range fs {
		t := lex.Trim(x)
		numbers = numbers || len(t) > 0 && cell.IsNumberCell(t, f.Dec)
		found = found || f.TimeHead != "" && strings.EqualFold(record.CleanName(t), f.TimeHead)
	}
	return found && (!numbers || record.TrimmedWidth(fs) == len(f.Cols))
}

// keepHeads remembers the heading's lines, to know them again.
func (f *Layout) keepHeads(c *sample.Candidate, lines []int) {
	f.Follow, f.NoTable = true, map[string]bool{}
	for _, i := range lines {
		f.HeadLines = append(f.HeadLines, sample.HeadCells(c.Fields[i]))
	}
	if k := c.Times.At(); k >= 0 && k < len(f.Cols) && f.Cols[k].Head != "" {
		f.TimeHead = f.Cols[k].Head
		f.Headed = sample.IsTimeHead(f.TimeHead) || c.Times.Ymd != nil
	}
}
