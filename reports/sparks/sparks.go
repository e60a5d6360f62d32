// Package sparks draws one page of small charts, a row a tag with what it was
// taken for beside it: a wrong guess is seen at a glance. The page is one file,
// opens by double-click and prints.
package sparks

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/series"
)

// Row is one tag.
type Row struct {
	Tag    string
	Taken  string // what it was taken for, as "ph at basin_outlet"
	Ask    string // what is open about it; "" nothing
	Unit   string // of the values; "" none
	Single bool   // grabs and composites, which no line joins
	Series *series.Series
}

// Mark stands in the head of every page, so that it is known again.
const Mark = `<meta name="generator" content="weirbook charts of tags">`

// Size of a chart in pixels.
const (
	width  = 760
	height = 64
)

// Write writes the page. All rows share one stretch of time, from the first
// reading to the last, on the clock given.
func Write(w io.Writer, title string, clock *time.Location, rows []Row) error {
	from, to := int64(math.MaxInt64), int64(math.MinInt64)
	for _, r := range rows {
		if r.Series != nil && r.Series.Len() > 0 {
			from, to = min(from, r.Series.T[0]), max(to, r.Series.T[r.Series.Len()-1])
		}
	}
	if from >= to {
		to = from + 1
	}
	data := struct {
		Title, From, To string
		Width, Height   int
		Rows            []drawn
	}{Title: title, From: stamp(from, clock), To: stamp(to, clock), Width: width, Height: height}
	for _, r := range rows {
		data.Rows = append(data.Rows, draw(r, from, to))
	}
	return page.Execute(w, data)
}

func stamp(ms int64, clock *time.Location) string {
	return time.UnixMilli(ms).In(clock).Format("2 Jan 2006 15:04")
}

// drawn is a row as it stands on the page.
type drawn struct {
	Row
	Path, Dots           template.HTMLAttr
	Low, High, Mid, Note string
}

// draw thins a signal to the pixels: the least and the greatest of each column, and
// nothing where nothing was read for long. Values far out are cut at the frame.
func draw(r Row, from, to int64) drawn {
	d := drawn{Row: r}
	s := r.Series
	if s == nil || s.Len() == 0 {
		d.Note = "no reading"
		return d
	}
	var v []float64
	for i := range s.T {
		if s.Usable(i) {
			v = append(v, s.V[i])
		}
	}
	if len(v) == 0 {
		d.Note = "no usable reading"
		return d
	}
	sorted := slices.Clone(v)
	slices.Sort(sorted)
	at := func(p float64) float64 { return sorted[int(p*float64(len(sorted)-1)+0.5)] }
	low, high := at(0.002), at(0.998)
	d.Low, d.High, d.Mid = fmt.Sprintf("%.4g", low), fmt.Sprintf("%.4g", high), fmt.Sprintf("%.4g", at(0.5))
	if high <= low {
		low, high = low-1, high+1
	}
	y := func(x float64) float64 {
		return 2 + (height-4)*(1-(min(max(x, low), high)-low)/(high-low))
	}
	lo, hi := make([]float64, width), make([]float64, width)
	n := make([]int, width)
	for i := range s.T {
		if !s.Usable(i) {
			continue
		}
		k := min(width-1, int(float64(s.T[i]-from)/float64(to-from)*width))
		if n[k] == 0 || s.V[i] < lo[k] {
			lo[k] = s.V[i]
		}
		if n[k] == 0 || s.V[i] > hi[k] {
			hi[k] = s.V[i]
		}
		n[k]++
	}
	if r.Single || len(v) < width/8 { // a laboratory's results
		var b strings.Builder
		for k := range n {
			if n[k] > 0 {
				fmt.Fprintf(&b, "M%d %.1fh.01 M%d %.1fh.01", k, y(lo[k]), k, y(hi[k]))
			}
		}
		d.Dots = attr(b.String())
		return d
	}
	const longest = 6 // columns without a reading that a line crosses
	var b strings.Builder
	last := -longest - 2
	for k := range n {
		if n[k] == 0 {
			continue
		}
		op := "L"
		if k-last > longest {
			op = "M"
		}
		fmt.Fprintf(&b, "%s%d %.1fL%d %.1f", op, k, y(lo[k]), k, y(hi[k]))
		last = k
	}
	d.Path = attr(b.String())
	return d
}

// attr gives path data as an attribute; it holds numbers and letters only.
func attr(path string) template.HTMLAttr { return template.HTMLAttr(`d="` + path + `"`) }

var page = template.Must(template.New("sparks").Parse(`<!doctype html>
<html lang="en"><meta charset="utf-8">` + Mark + `<title>{{.Title}}</title>
<style>
body{font:14px/1.35 system-ui,sans-serif;margin:24px auto;max-width:1180px;padding:0 16px;color:#1b2a33}
h1{font-size:20px;margin:0 0 4px}
p{margin:0 0 16px;color:#55656f}
.row{display:flex;gap:16px;border-top:1px solid #dde4e8;padding:8px 0;break-inside:avoid}
.what{flex:0 0 300px;min-width:0;overflow-wrap:anywhere}
.what b{display:block}
.ask{color:#8a4b00;display:block;margin-top:2px}
.chart{flex:1;min-width:0}
svg{display:block;width:100%;height:64px;background:#fff;border:1px solid #dde4e8}
path.line{fill:none;stroke:#1f6f8b;stroke-width:1.2;vector-effect:non-scaling-stroke}
path.dots{fill:none;stroke:#1f6f8b;stroke-width:5;stroke-linecap:round;vector-effect:non-scaling-stroke}
.range{flex:0 0 96px;font-size:12px;color:#55656f;display:flex;flex-direction:column;justify-content:space-between}
@media screen and (prefers-color-scheme:dark){body{color:#e6e8ea;background:#17191c}p,.range{color:#a4abb3}.row{border-color:#42474d}.ask{color:#e2b04a}}
@media (max-width:720px){.row{flex-wrap:wrap}.what{flex-basis:100%}}
</style>
<h1>{{.Title}}</h1>
<p>{{.From}} to {{.To}}. A row for each tag, with what it was taken for; the few values far out are cut off at the frame.</p>
{{range .Rows}}<div class="row"><div class="what"><b>{{.Tag}}</b>{{.Taken}}{{with .Ask}}<span class="ask">{{.}}</span>{{end}}</div>
<div class="chart">{{if .Note}}{{.Note}}{{else}}<svg viewBox="0 0 {{$.Width}} {{$.Height}}" preserveAspectRatio="none" role="img" aria-label="{{.Tag}}">{{if .Dots}}<path class="dots" {{.Dots}}/>{{else}}<path class="line" {{.Path}}/>{{end}}</svg>{{end}}</div>
<div class="range">{{if not .Note}}<span>{{.High}}</span><span>median {{.Mid}} {{.Unit}}</span><span>{{.Low}}</span>{{end}}</div></div>
{{end}}</html>
`))
