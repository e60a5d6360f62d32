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
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"weirbook/reports/table"
)

//go:embed page.html
var pageHTML string

//go:embed page.css
var pageCSS string

//go:embed timeline.js
var pageScript string

var htmlTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"css":      func() template.CSS { return template.CSS(pageCSS) },
	"src":      dataURI,
	"size":     pictureSize,
	"right":    func(t *table.Table, col int) bool { return t.RightAligned(col) },
	"sevsign":  SeveritySign,
	"sevclass": severityClass,
	"word":     word,
	"words":    func(c table.Cell) bool { return len(c.String()) > 24 }, // a reason in a column of numbers
	"breadth":  breadth,
	"level":    atLevel,
	"script":   func() template.JS { return template.JS(pageScript) },
	"json":     func(b []byte) template.JS { return template.JS(b) },
	"live": func(p *Page) bool {
		return slices.ContainsFunc(p.Pictures(), func(x Picture) bool { return x.Live != nil })
	},
}).Parse(pageHTML))

// WriteHTML writes the page as one file with its pictures inside. It fetches
// nothing. Its one script lets values be read off the timelines; nothing needs
// it to be read.
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

// shownWide is how wide a picture is meant to be seen, px.
const shownWide = 800

// pictureSize is the width and height at which a picture is meant to be seen.
func pictureSize(p Picture) template.HTMLAttr {
	c, err := png.DecodeConfig(bytes.NewReader(p.PNG))
	if err != nil {
		return ""
	}
	return template.HTMLAttr(fmt.Sprintf(`width="%d" height="%d"`, shownWide, c.Height*shownWide/max(c.Width, 1)))
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
	p.eachPicture(func(x *Picture) { out = append(out, *x) })
	return out
}

// Draw makes the pictures that are still to be made, on all cores, and tells how
// far it is (nil: nobody is told). Drawing is what a report takes longest over.
func (p *Page) Draw(progress func(done, total int)) error {
	var open []*Picture
	p.eachPicture(func(x *Picture) {
		if x.PNG == nil && x.Draw != nil {
			open = append(open, x)
		}
	})
	errs := make([]error, len(open))
	var next, done atomic.Int64
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(open)) {
		group.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(open)); i = next.Add(1) - 1 {
				open[i].PNG, errs[i] = open[i].Draw()
				if n := done.Add(1); progress != nil {
					progress(int(n), len(open))
				}
			}
		})
	}
	group.Wait()
	for i, err := range errs {
		if err != nil {
			return fmt.Errorf("%s: %w", open[i].File, err)
		}
	}
	return nil
}
