package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
)

// Columns of the summary.
const (
	sumHead  = 6
	sumFirst = 7
	sumLive  = 11
	sumCols  = 12
)

// summary is the sheet ready to copy.
func (k *writer) summary() {
	s, m := Summary, k.m
	k.text(s, 1, 1, "Monthly discharge summary, "+m.Name(), "big")
	name := m.Plant
	if m.Facility != "" {
		name = m.Facility
	}
	if m.PermitNumber != "" {
		name += "    permit " + m.PermitNumber
	}
	k.text(s, 1, 2, name, "bold")
	k.text(s, 1, 3, "Copy the column \"Report\": it is rounded by the permit's rule, once. It, the state and the excursions are formulas over the day cells, by way of the sheet Working: an edited day changes them.", "grey")
	k.text(s, 1, 4, "A draft to be checked: the permit, the laboratory and the responsible licensed operator decide.", "bold")
	for i, h := range []string{"Parameter", "Point", "Statistic", "Report", "Unit", "Limit", "Result against limit", "Excur-\nsions", "When",
		"Samples", "Live,\nunrounded", "How, and what to know"} {
		k.text(s, i+1, sumHead, h, "head centre")
	}
	k.width(s, 18, 12, 17, 10, 11, 11, 16, 8, 20, 15, 12, 52)
	k.height(s, sumHead, 32)
	row := sumFirst
	listed := true
	k.live = make([]live, len(m.Lines))
	for n, l := range m.Lines {
		if listed && !l.ForPlant {
			listed = false
			k.text(s, 1, row, "Measured, and no line of the plant file asks for it", "bold italic")
			row++
		}
		k.live[n] = k.of(n)
		k.live[n].row = row
		k.sumRow(n, row)
		row++
	}
	if len(m.Lines) == 0 {
		k.text(s, 1, row, "The plant file states no limits, and nothing is sampled at the outfall.", "italic")
		row++
	}
	k.do(k.f.SetConditionalFormat(s, cell(7, sumFirst)+":"+cell(7, max(row-1, sumFirst)), []excelize.ConditionalFormatOptions{{
		Type: "formula", Criteria: fmt.Sprintf("OR(ISNUMBER(SEARCH(\"ABOVE\",%[1]s)),ISNUMBER(SEARCH(\"BELOW\",%[1]s)))", cell(7, sumFirst)), Format: k.outside()}}))
	row = k.below(row + 1)
	k.freeze(s, 0, sumHead)
	k.area(s, sumHead, row, sumCols)
}

func (k *writer) sumRow(n, row int) {
	s, l := Summary, k.m.Lines[n]
	stat := l.Statistic
	if l.Part != "" {
		stat += ", " + l.Part
	}
	k.text(s, 1, row, l.Parameter, "box wrap bold")
	k.text(s, 2, row, l.Point, "box wrap")
	k.text(s, 3, row, stat, "box wrap")
	if l.Report == "" {
		k.text(s, 4, row, "", "box right")
	} else {
		k.reported(s, 4, row, l.Report, "box bold right")
	}
	k.text(s, 5, row, l.Unit, "box wrap")
	lim := limitWords(l)
	k.text(s, 6, row, lim, "box wrap right")
	k.text(s, 7, row, Standing(l.State), "box wrap")
	ex := ""
	if len(l.Excursions) > 0 {
		k.number(s, 8, row, float64(len(l.Excursions)), "box d0 right bold")
	} else {
		if l.Report != "" && l.State != discharge.NoLimit {
			ex = "none"
		}
		k.text(s, 8, row, ex, "box right")
	}
	when := l.When
	if len(l.Excursions) > 0 {
		when = Dates(l, 4)
	}
	k.text(s, 9, row, when, "box wrap")
	k.text(s, 10, row, Samples(l), "box wrap")
	if f := k.live[n].formula; f != "" {
		k.calc(s, sumLive, row, f, "box d"+strconv.Itoa(discharge.DecimalsOf(l.Report)+2))
	} else {
		k.text(s, sumLive, row, "–", "box centre")
	}
	note := k.note(n)
	k.text(s, 12, row, note, "box wrap note")
	lines := max(rowsOf(when, 19), rowsOf(Samples(l), 14), rowsOf(stat, 16), rowsOf(Standing(l.State), 15), rowsOf(lim, 10), rowsOf(l.Parameter, 17), rowsOf(l.Point, 11))
	k.height(s, row, max(16, 13.5*float64(lines)+3, 12.5*float64(rowsOf(note, 60))+3))
}

// reportLive puts the formulas of the sheet Working into the columns to copy.
func (k *writer) reportLive() {
	for n, w := range k.work {
		if w.row == 0 {
			continue
		}
		l, row := k.m.Lines[n], k.live[n].row
		at := func(col int) string { return Working + "!" + cell(col, w.row) }
		k.known(Summary, 4, row, at(workReport), math.NaN(), l.Report, "box bold right")
		if math.IsNaN(l.LimitValue) {
			continue
		}
		k.known(Summary, 7, row, at(workState), math.NaN(), Standing(l.State), "box wrap")
		if w.excursions {
			text := "none"
			v := math.NaN()
			if len(l.Excursions) > 0 {
				v, text = float64(len(l.Excursions)), ""
			}
			k.known(Summary, 8, row, fmt.Sprintf(`IF(%[1]s=0,"none",%[1]s)`, at(workExcursions)), v, text, "box d0 right bold")
		}
	}
}

// Samples says how many were taken of how many asked for.
func Samples(l discharge.Line) string {
	switch {
	case l.State.Idle():
		return ""
	case !math.IsNaN(l.Cover):
		return discharge.Round(100*l.Cover, discharge.Places{Decimals: 1, MaxDecimals: -1}, discharge.HalfUp) + " % covered"
	case l.Required > 0 && l.Missing > 0:
		return fmt.Sprintf("%d of %d (%s), %d MISSING", l.Taken, l.Required, l.Limit.Frequency, l.Missing)
	case l.Required > 0:
		return fmt.Sprintf("%d of %d (%s)", l.Taken, l.Required, l.Limit.Frequency)
	}
	return fmt.Sprintf("%d taken", l.Taken)
}

// Standing is a state with the sign that tells it apart in grey.
func Standing(st discharge.State) string {
	switch st {
	case discharge.Above:
		return "▲ ABOVE LIMIT"
	case discharge.Below:
		return "▼ BELOW LIMIT"
	case discharge.CannotTell:
		return "? cannot be told"
	case discharge.NotDetermined:
		return "– not determined"
	}
	return string(st)
}

// Dates lists the first few excursions.
func Dates(l discharge.Line, n int) string {
	var out []string
	for i, e := range l.Excursions {
		if i == n {
			out = append(out, fmt.Sprintf("and %d more, see month.csv", len(l.Excursions)-n))
			break
		}
		out = append(out, e.Text)
	}
	return strings.Join(out, "\n")
}

// note says how a figure was made and what a reader must know of it.
func (k *writer) note(n int) string {
	l := k.m.Lines[n]
	var out []string
	if l.How != "" && l.Report != "" {
		out = append(out, upper(l.How)+".")
	}
	if l.NonDetects > 0 {
		out = append(out, fmt.Sprintf("%d of %d below the reporting limit: %s. By rule: %s.", l.NonDetects, l.Values, l.RuleText, l.SpreadText))
	}
	if l.Missing > 0 {
		out = append(out, "Samples: "+l.Sampling+".")
	}
	out = append(out, l.Remarks...)
	if k.live[n].formula == "" && l.Report != "" {
		out = append(out, "No live formula: "+k.live[n].why+".")
	}
	return strings.Join(out, " ")
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// rowsOf estimates the rows that a text takes in a cell so many letters wide.
func rowsOf(s string, wide int) int {
	n := 0
	for _, part := range strings.Split(s, "\n") {
		n += len([]rune(part))/wide + 1
	}
	return n
}

// below writes remarks, cautions and the signature block, which stays blank.
func (k *writer) below(row int) int {
	s := Summary
	block := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		k.text(s, 1, row, title, "bold")
		row++
		for _, l := range lines {
			k.wide(row, "• "+l)
			row++
		}
		row++
	}
	block("Remarks on the month", k.m.Remarks)
	block("Cautions", k.m.Cautions)
	k.text(s, 1, row, "Prepared by", "bold")
	k.text(s, 7, row, "Responsible licensed operator", "bold")
	row += 2
	for _, at := range [][2]int{{1, 4}, {7, 10}} {
		for c := at[0]; c <= at[1]; c++ {
			k.style(s, c, row, "line")
		}
	}
	k.height(s, row, 24)
	row++
	k.text(s, 1, row, "name, signature, date", "grey small")
	k.text(s, 7, row, "name, licence, signature, date", "grey small")
	return row
}

// wide writes a sentence across the sheet.
func (k *writer) wide(row int, text string) {
	a, b := cell(1, row), cell(sumCols, row)
	k.do(k.f.MergeCell(Summary, a, b))
	k.text(Summary, 1, row, text, "wrap")
	k.height(Summary, row, float64(13*rowsOf(text, 215)+2))
}
