package workbook

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// style sets a cell's look from words: "bold", "italic", "big", "small",
// "grey", "head", "box", "wrap", "right", "centre", "date", "d2" (decimals),
// "g" (as many digits as needed), "fill".
func (k *writer) style(sheet string, col, row int, words string) {
	if strings.TrimSpace(words) == "" {
		return
	}
	c := cell(col, row)
	k.do(k.f.SetCellStyle(sheet, c, c, k.styleOf(words)))
}

func (k *writer) styleOf(words string) int {
	words = strings.Join(strings.Fields(words), " ")
	if id, ok := k.styles[words]; ok {
		return id
	}
	s := &excelize.Style{Font: &excelize.Font{Family: "Calibri", Size: 10}, Alignment: &excelize.Alignment{Vertical: "top"}}
	for _, w := range strings.Fields(words) {
		switch w {
		case "bold":
			s.Font.Bold = true
		case "italic":
			s.Font.Italic = true
		case "big":
			s.Font.Size, s.Font.Bold = 15, true
		case "small":
			s.Font.Size = 8
		case "note":
			s.Font.Size = 9
		case "grey":
			s.Font.Color, s.Font.Italic = "595959", true
		case "head":
			s.Font.Bold = true
			s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E7E6E6"}}
			s.Border = thin()
			s.Alignment.WrapText, s.Alignment.Vertical = true, "center"
		case "fill":
			s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"F2F2F2"}}
		case "box":
			s.Border = thin()
			s.Alignment.Indent = 1
		case "line":
			s.Border = []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}
		case "wrap":
			s.Alignment.WrapText = true
		case "right":
			s.Alignment.Horizontal = "right"
		case "centre":
			s.Alignment.Horizontal = "center"
		case "date":
			f := "ddd yyyy-mm-dd"
			s.CustomNumFmt = &f
			s.Alignment.Horizontal = "left"
		case "time":
			f := "yyyy-mm-dd hh:mm"
			s.CustomNumFmt = &f
			s.Alignment.Horizontal = "left"
		case "percent":
			f := "0.0%"
			s.CustomNumFmt = &f
		case "g":
			f := "General"
			s.CustomNumFmt = &f
		default:
			if n, err := strconv.Atoi(strings.TrimPrefix(w, "d")); err == nil {
				f := "0"
				if n > 0 {
					f += "." + strings.Repeat("0", n)
				}
				s.CustomNumFmt = &f
			}
		}
	}
	// An indent holds only where the side is said.
	if s.Alignment.Indent > 0 && s.Alignment.Horizontal == "" {
		s.Alignment.Horizontal = "left"
		if s.CustomNumFmt != nil {
			s.Alignment.Horizontal = "right"
		}
	}
	if s.Alignment.Horizontal == "center" {
		s.Alignment.Indent = 0
	}
	id, err := k.f.NewStyle(s)
	k.do(err)
	k.styles[words] = id
	return id
}

func thin() []excelize.Border {
	var b []excelize.Border
	for _, side := range []string{"left", "right", "top", "bottom"} {
		b = append(b, excelize.Border{Type: side, Color: "7F7F7F", Style: 1})
	}
	return b
}

// outside is the look of what lies on the wrong side of a limit: bold, boxed and
// shaded, so that it is seen on a black and white print.
func (k *writer) outside() *int {
	id, err := k.f.NewConditionalStyle(&excelize.Style{
		Font:   &excelize.Font{Bold: true, Italic: true, Underline: "single"},
		Fill:   excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"BFBFBF"}},
		Border: []excelize.Border{{Type: "left", Color: "000000", Style: 1}, {Type: "right", Color: "000000", Style: 1}, {Type: "top", Color: "000000", Style: 1}, {Type: "bottom", Color: "000000", Style: 1}},
	})
	k.do(err)
	return &id
}

// height sets a row's height, up to what a spreadsheet allows (409 points).
func (k *writer) height(sheet string, row int, points float64) {
	k.do(k.f.SetRowHeight(sheet, row, min(points, 405)))
}

func (k *writer) width(sheet string, widths ...float64) {
	for i, w := range widths {
		c := colName(i + 1)
		k.do(k.f.SetColWidth(sheet, c, c, w))
	}
}

// heading remembers the title row that is repeated on every printed page and
// stays in view, and how far the sheet reaches.
func (k *writer) area(sheet string, head, lastRow, lastCol int) {
	if k.printed == nil {
		k.printed = map[string]printArea{}
	}
	k.printed[sheet] = printArea{head, lastRow, lastCol}
}

// paper sets a sheet up for printing: landscape, one page wide, titles and page
// numbers on each page.
func (k *writer) paper(sheet string) {
	size, orient, wide, tall, fit := 1, "landscape", 1, 0, true
	if k.b.A4 {
		size = 9
	}
	k.do(k.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Size: &size, Orientation: &orient, FitToWidth: &wide, FitToHeight: &tall}))
	k.do(k.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
	side, top, mid := 0.4, 0.6, true
	k.do(k.f.SetPageMargins(sheet, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &top, Bottom: &top, Horizontally: &mid}))
	k.do(k.f.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{
		OddFooter: "&L&8 " + footer(k.m.Plant) + ", " + k.m.Name() + "&C&8&A&R&8page &P of &N"}))
	k.height(sheet, 1, 22)
	a := k.printed[sheet]
	if a.head > 0 {
		k.do(k.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: sheet,
			RefersTo: "'" + sheet + "'!$" + strconv.Itoa(a.head) + ":$" + strconv.Itoa(a.head)}))
	}
	k.do(k.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: sheet,
		RefersTo: "'" + sheet + "'!$A$1:$" + colName(max(a.lastCol, 1)) + "$" + strconv.Itoa(max(a.lastRow, 1))}))
}

// footer takes the ampersand, which steers a footer, out of a name, and cuts one
// that no footer holds.
func footer(s string) string {
	if r := []rune(s); len(r) > 80 {
		s = string(r[:80]) + "…"
	}
	return strings.ReplaceAll(s, "&", "&&")
}

// freeze keeps the head in view.
func (k *writer) freeze(sheet string, cols, rows int) {
	k.do(k.f.SetPanes(sheet, &excelize.Panes{Freeze: true, XSplit: cols, YSplit: rows, TopLeftCell: cell(cols+1, rows+1), ActivePane: "bottomRight"}))
}
