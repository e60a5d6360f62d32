package page

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"io"
	"regexp"
	"slices"

	"weirbook/reports/table"
)

//go:embed page.html
var pageHTML string

//go:embed page.css
var pageCSS string

var htmlTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"css":      func() template.CSS { return template.CSS(pageCSS) },
	"src":      dataURI,
	"size":     pictureSize,
	"right":    func(t *table.Table, col int) bool { return t.RightAligned(col) },
	"sevsign":  SeveritySign,
	"sevclass": severityClass,
	"word":     word,
	"breadth":  breadth,
	"level":    atLevel,
}).Parse(pageHTML))

// WriteHTML writes the page as one file with its pictures inside. It runs no
// script and fetches nothing.
func (p *Page) WriteHTML(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := htmlTemplate.Execute(&b, p); err != nil {
		return fmt.Errorf("report.html: %w", err)
	}
	_, err := w.Write(blankLines.ReplaceAll(b.Bytes(), []byte("\n")))
	return err
}

// levelled is a block with the level of the headings in it.
type levelled struct {
	Block
	H int
}

// Deeper is the level of headings one step further in, six at the most.
func (l levelled) Deeper() int { return min(l.H+1, 6) }

func atLevel(h int, bs []Block) []levelled {
	out := make([]levelled, len(bs))
	for i, b := range bs {
		out[i] = levelled{b, h}
	}
	return out
}

var blankLines = regexp.MustCompile(`\n\s*\n+`)

// dataURI is the picture inside of the page.
func dataURI(p Picture) template.URL {
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(p.PNG))
}

// pictureSize is the width and height at which a picture is meant to be seen:
// half of its pixels.
func pictureSize(p Picture) template.HTMLAttr {
	c, err := png.DecodeConfig(bytes.NewReader(p.PNG))
	if err != nil {
		return ""
	}
	return template.HTMLAttr(fmt.Sprintf(`width="%d" height="%d"`, c.Width/2, c.Height/2))
}

// breadth is the style of a table with more columns than a page holds at its
// usual size: smaller, and printed on its side when there are very many.
func breadth(t *table.Table) string {
	switch n := len(t.Columns); {
	case n > 11:
		return " many landscape"
	case n > 8:
		return " many"
	}
	return ""
}

func word(s Standing, w string) string {
	if w != "" {
		return w
	}
	return s.Word()
}

func severityClass(s string) string {
	switch s {
	case "critical":
		return "bad"
	case "warning":
		return "watch"
	}
	return "plain"
}

var goodID = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9-]*$`)

// check finds what would make a page that is broken: IDs that are missing,
// twice there or not fit for a link, pictures without words, ragged tables.
func (p *Page) check() error {
	seen := map[string]bool{"verdict": true}
	id := func(s, title string) error {
		if !goodID.MatchString(s) {
			return fmt.Errorf("page: %q needs an ID of letters, digits and hyphens, not %q", title, s)
		}
		if seen[s] {
			return fmt.Errorf("page: the ID %q is used twice", s)
		}
		seen[s] = true
		return nil
	}
	for _, s := range p.Sections {
		if err := id(s.ID, s.Title); err != nil {
			return err
		}
		if err := checkBlocks(s.Blocks, id); err != nil {
			return err
		}
	}
	return nil
}

func checkBlocks(bs []Block, id func(s, title string) error) error {
	for _, b := range bs {
		if b.Picture != nil {
			if err := checkPicture(*b.Picture); err != nil {
				return err
			}
		}
		if b.Table != nil {
			if err := b.Table.Check(); err != nil {
				return err
			}
		}
		if e := b.Event; e != nil {
			if err := id(e.ID, e.Title); err != nil {
				return err
			}
			for _, p := range e.Pictures {
				if err := checkPicture(p); err != nil {
					return err
				}
			}
			if err := checkBlocks(slices.Concat(e.Blocks, e.Folded), id); err != nil {
				return err
			}
		}
		if b.Fold != nil {
			if err := checkBlocks(b.Fold.Blocks, id); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkPicture(p Picture) error {
	if p.Alt == "" {
		return fmt.Errorf("page: the picture %s has no words for who cannot see it", p.File)
	}
	if len(p.PNG) == 0 {
		return fmt.Errorf("page: the picture %s is empty", p.File)
	}
	return nil
}

// Pictures lists every picture of the page in order, so that they can be
// written to files too.
func (p *Page) Pictures() []Picture {
	var out []Picture
	p.eachPicture(func(pic *Picture) { out = append(out, *pic) })
	return out
}
