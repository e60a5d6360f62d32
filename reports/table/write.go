package table

import (
	"bufio"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// WriteText writes the table in aligned columns for a terminal, headings
// underlined, nothing wrapped.
func (t *Table) WriteText(w io.Writer) error {
	if err := t.Check(); err != nil {
		return err
	}
	width := make([]int, len(t.Columns))
	for j, c := range t.Columns {
		width[j] = utf8.RuneCountInString(oneLine(c.Heading()))
	}
	for _, r := range t.Rows {
		for j, c := range r {
			width[j] = max(width[j], utf8.RuneCountInString(oneLine(c.String())))
		}
	}
	b := bufio.NewWriter(w)
	if t.Caption != "" {
		b.WriteString(oneLine(t.Caption) + "\n\n")
	}
	row := func(cell func(int) string) {
		var line strings.Builder
		for j := range t.Columns {
			s := cell(j)
			pad := strings.Repeat(" ", width[j]-utf8.RuneCountInString(s))
			if j > 0 {
				line.WriteString("  ")
			}
			if t.RightAligned(j) {
				line.WriteString(pad + s)
			} else {
				line.WriteString(s + pad)
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	row(func(j int) string { return oneLine(t.Columns[j].Heading()) })
	row(func(j int) string { return strings.Repeat("-", width[j]) })
	for _, r := range t.Rows {
		row(func(j int) string { return oneLine(r[j].String()) })
	}
	for i, n := range t.Notes {
		if i == 0 {
			b.WriteString("\n")
		}
		b.WriteString(oneLine(n) + "\n")
	}
	return b.Flush()
}

// WriteMarkdown writes the table in the pipe form that GitHub and others read.
func (t *Table) WriteMarkdown(w io.Writer) error {
	if err := t.Check(); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	if t.Caption != "" {
		b.WriteString("**" + Escape(t.Caption) + "**\n\n")
	}
	for _, c := range t.Columns {
		b.WriteString("| " + Escape(c.Heading()) + " ")
	}
	b.WriteString("|\n")
	for j := range t.Columns {
		if t.RightAligned(j) {
			b.WriteString("|---:")
		} else {
			b.WriteString("|---")
		}
	}
	b.WriteString("|\n")
	for _, r := range t.Rows {
		for _, c := range r {
			s := Escape(c.String())
			if c.Strong && s != "" {
				s = "**" + s + "**"
			}
			b.WriteString("| " + s + " ")
		}
		b.WriteString("|\n")
	}
	for _, n := range t.Notes {
		b.WriteString("\n" + Escape(n) + "\n")
	}
	return b.Flush()
}

// oneLine turns line breaks and other control characters into spaces.
func oneLine(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
}

// Escape writes plain text so that Markdown shows it as it is. Underscores
// inside of a word, as tag names have, mean nothing to Markdown and stay.
func Escape(s string) string {
	s = oneLine(s)
	var b strings.Builder
	rs := []rune(s)
	word := func(i int) bool {
		return i >= 0 && i < len(rs) && (unicode.IsLetter(rs[i]) || unicode.IsDigit(rs[i]) || rs[i] == '_')
	}
	for i, r := range rs {
		switch r {
		case '\\', '`', '*', '[', ']', '|', '~':
			b.WriteByte('\\')
		case '<':
			b.WriteString("&lt;")
			continue
		case '&':
			b.WriteString("&amp;")
			continue
		case '_':
			if !word(i-1) || !word(i+1) {
				b.WriteByte('\\')
			}
		case '#', '>', '+', '-':
			// These mean something only at the start of a line.
			if i == 0 && (i+1 == len(rs) || rs[i+1] == ' ' || r == '>' || r == '#') {
				b.WriteByte('\\')
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}
