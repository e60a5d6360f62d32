package page

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"weirbook/reports/table"
)

// WriteMarkdown writes the page as text; pictures are named as files beside
// it, for which see Pictures.
func (p *Page) WriteMarkdown(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	m := &markdown{w: bufio.NewWriter(w)}
	m.line("# %s: %s", p.Kind, p.Plant)
	m.line("%s", p.Period)
	m.line("## Verdict")
	if s := word(p.Verdict.Standing, p.Verdict.Word); s != "" {
		m.line("**%s**", strings.TrimSpace(p.Verdict.Standing.Sign()+" "+s))
	}
	for i, s := range p.Verdict.Sentences {
		if i == 0 {
			m.line("**%s**", s)
			continue
		}
		m.line("%s", s)
	}
	m.figures(p.Verdict.Figures)
	for _, s := range p.Sections {
		m.line("## %s", s.Title)
		if s.Lead != "" {
			m.line("%s", s.Lead)
		}
		m.blocks(s.Blocks, 3)
	}
	if p.Foot != "" {
		m.raw("---\n\n")
		m.line("%s", p.Foot)
	}
	if m.err != nil {
		return m.err
	}
	return m.w.Flush()
}

type markdown struct {
	w   *bufio.Writer
	err error
}

func (m *markdown) raw(s string) {
	if m.err == nil {
		_, m.err = m.w.WriteString(s)
	}
}

// line writes a paragraph or heading; the arguments are escaped, the form is not.
func (m *markdown) line(form string, args ...any) {
	for i := range args {
		args[i] = table.Escape(args[i].(string))
	}
	m.raw(fmt.Sprintf(form, args...) + "\n\n")
}

func (m *markdown) list(items []string, numbered bool) {
	for i, s := range items {
		lead := "- "
		if numbered {
			lead = fmt.Sprintf("%d. ", i+1)
		}
		m.raw(lead + table.Escape(s) + "\n")
	}
	if len(items) > 0 {
		m.raw("\n")
	}
}

func (m *markdown) figures(fs []Figure) {
	if len(fs) == 0 {
		return
	}
	t := &table.Table{Columns: []table.Column{{Name: "Figure"}, {Name: "Value", Align: table.Right}, {Name: "Standing"}, {Name: "Note"}}}
	for _, f := range fs {
		standing := ""
		if f.Standing != Plain {
			standing = f.Standing.Sign() + " " + word(f.Standing, f.Word)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(f.Name), table.Str(strings.TrimSpace(f.Value + " " + f.Unit)).Bold(), table.Str(standing), table.Str(f.Note)})
	}
	m.table(t)
}

func (m *markdown) table(t *table.Table) {
	if m.err == nil {
		m.err = t.WriteMarkdown(m.w)
		m.raw("\n")
	}
}

func (m *markdown) facts(fs []Fact) {
	for _, f := range fs {
		m.raw("- **" + table.Escape(f.Name) + ":** " + table.Escape(f.Value))
		if f.Note != "" {
			m.raw(" (" + table.Escape(f.Note) + ")")
		}
		m.raw("\n")
	}
	if len(fs) > 0 {
		m.raw("\n")
	}
}

func (m *markdown) picture(p Picture) {
	alt := strings.NewReplacer("[", "(", "]", ")").Replace(p.Alt)
	m.raw("![" + table.Escape(alt) + "](" + strings.ReplaceAll(p.File, " ", "%20") + ")\n\n")
	if p.Caption != "" {
		m.line("*%s*", p.Caption)
	}
}

// blocks writes blocks whose headings are of the level given.
func (m *markdown) blocks(bs []Block, level int) {
	for _, b := range bs {
		if b.Text != "" {
			m.line("%s", b.Text)
		}
		if b.Heading != "" {
			m.heading(level, b.Heading)
		}
		m.list(b.Points, false)
		m.list(b.Steps, true)
		if b.Picture != nil {
			m.picture(*b.Picture)
		}
		if b.Table != nil {
			m.table(b.Table)
		}
		m.facts(b.Facts)
		m.findings(b.Findings)
		if b.Event != nil {
			m.event(b.Event)
		}
		m.cautions(b.Cautions)
		if f := b.Fold; f != nil {
			m.heading(level, strings.TrimSpace(f.Title+" "+f.Note))
			m.blocks(f.Blocks, level+1)
		}
		for _, s := range b.Blanks {
			m.line(`\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_\_ %s`, s)
		}
	}
}

func (m *markdown) findings(rows []FindingRow) {
	if len(rows) == 0 {
		return
	}
	t := &table.Table{Columns: []table.Column{{Name: "How grave"}, {Name: "When"}, {Name: "How long"}, {Name: "What"},
		{Name: "At fault"}, {Name: "How sure"}, {Name: "Check first"}}}
	for _, r := range rows {
		t.Rows = append(t.Rows, []table.Cell{table.Str(r.Severity).Bold(), table.Str(r.When), table.Str(r.Length), table.Str(strings.TrimSpace(r.What + " " + r.Parts)),
			table.Str(r.Who), table.Str(r.Sure), table.Str(r.Check)})
	}
	m.table(t)
}

func (m *markdown) event(e *Event) {
	title := e.Title
	if e.Severity != "" {
		title += " (" + e.Severity + ")"
	}
	m.line("### %s", title)
	m.facts(e.Facts)
	if e.Summary != "" {
		m.line("**%s**", e.Summary)
	}
	for _, p := range e.Pictures {
		m.picture(p)
	}
	m.headed("What the data show", e.Evidence, false)
	m.blocks(e.Blocks, 4)
	m.headed("Looked at and ruled out", e.RuledOut, false)
	m.headed("Check next, in this order", e.CheckNext, true)
	m.cautions(e.Cautions)
	m.blocks(e.Folded, 4)
}

func (m *markdown) heading(level int, title string) {
	m.line(strings.Repeat("#", min(level, 6))+" %s", title)
}

func (m *markdown) headed(title string, items []string, numbered bool) {
	if len(items) == 0 {
		return
	}
	m.line("#### %s", title)
	m.list(items, numbered)
}

func (m *markdown) cautions(items []string) {
	if len(items) == 0 {
		return
	}
	m.raw("> **Take care**\n>\n")
	for _, s := range items {
		m.raw("> - " + table.Escape(s) + "\n")
	}
	m.raw("\n")
}
