package workbook

import (
	"fmt"
	"io"

	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
	"weirbook/reports/table"
)

const (
	yearSheet = "Months"
	yearHead  = 4
)

// WriteYear writes one sheet with a row per line of the permit and a column per
// month: what was reported, shaded where it lies beyond its limit.
func WriteYear(w io.Writer, ms []*discharge.Month, version string) error {
	f := excelize.NewFile()
	defer f.Close()
	k := &writer{f: f, b: Book{Month: ms[0], Version: version}, m: ms[0], styles: map[string]int{}, answers: map[string]string{}}
	k.do(f.SetSheetName("Sheet1", yearSheet))
	first, last := ms[0], ms[len(ms)-1]
	s, months := yearSheet, first.Name()+" to "+last.Name()
	k.text(s, 1, 1, "Reported, "+months, "big")
	k.text(s, 1, 2, last.Plant+". Figures as the months' own summaries give them. Shaded and bold: beyond the limit. A draft to be checked: the permit, the laboratory and the responsible licensed operator decide.", "grey")
	for i, h := range []string{"Parameter", "Point", "Statistic", "Unit", "Limit"} {
		k.text(s, i+1, yearHead, h, "head")
	}
	k.width(s, 22, 14, 24, 11, 14)
	for i, m := range ms {
		k.text(s, 6+i, yearHead, m.First().Format("Jan 2006"), "head centre")
		k.do(f.SetColWidth(s, colName(6+i), colName(6+i), 12))
	}
	rows := map[string]int{}
	next := yearHead + 1
	for i, m := range ms {
		for _, l := range m.Lines {
			stat := l.Statistic
			if l.Part != "" {
				stat += ", " + l.Part
			}
			key := fmt.Sprint(l.Limit.Line, l.Parameter, l.Point, stat, l.Unit)
			row, ok := rows[key]
			if !ok {
				row = next
				rows[key] = row
				next++
				for c, text := range []string{l.Parameter, l.Point, stat, l.Unit, limitWords(l)} {
					k.text(s, c+1, row, text, "box")
				}
				for c := range ms {
					k.text(s, 6+c, row, "", "box")
				}
			}
			look := "box right"
			if l.State.Outside() {
				look = "box bold fill right"
			}
			switch {
			case l.State.Idle():
				k.text(s, 6+i, row, string(l.State), "box small right")
			case l.Report == "":
				k.text(s, 6+i, row, "n.d.", "box right")
			default:
				k.reported(s, 6+i, row, l.Report, look)
			}
		}
	}
	k.freeze(s, 5, yearHead)
	k.area(s, yearHead, next-1, 5+len(ms))
	k.paper(s)
	at := last.First().AddDate(0, 1, 0).Format("2006-01-02T15:04:05Z")
	k.do(f.SetDocProps(&excelize.DocProperties{Title: "Reported, " + months, Subject: table.Neutral(last.Plant), Creator: "Weirbook", LastModifiedBy: "Weirbook", Created: at, Modified: at, Language: "en-US"}))
	if k.err != nil {
		return fmt.Errorf("months: %w", k.err)
	}
	buf, err := f.WriteToBuffer()
	if err != nil {
		return fmt.Errorf("months: %w", err)
	}
	return tidy(w, buf.Bytes(), nil)
}

// limitWords is a line's limit as it stands beside a figure.
func limitWords(l discharge.Line) string {
	switch {
	case l.State.Idle():
		return l.LimitText
	case l.Limit.ReportOnly:
		return "report only"
	case l.AtLeast:
		return "≥ " + l.LimitText
	case l.LimitText != "":
		return "≤ " + l.LimitText
	}
	return ""
}
