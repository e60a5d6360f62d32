package plants

import (
	"bytes"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"
)

// File is one file that a plant hands over.
type File struct {
	Name string // with forward slashes
	Data []byte
}

// Files gives plant/plant.toml, plant/tags.csv and the exports: one long file
// for each controller, and the laboratory's sheet.
func (r *Record) Files() []File {
	out := []File{{"plant/plant.toml", r.plantTOML()}, {"plant/tags.csv", r.tagsCSV()}}
	links := 0
	for _, t := range r.Tags {
		links = max(links, t.Link+1)
	}
	for k := range links {
		if data := r.longCSV(k); data != nil {
			out = append(out, File{fmt.Sprintf("exports/readings-%d.csv", k+1), data})
		}
	}
	if len(r.Grabs) > 0 {
		out = append(out, File{"exports/lab.csv", r.labCSV()})
	}
	return out
}

func (r *Record) longCSV(link int) []byte {
	type at struct {
		Row
		tag int
	}
	var rows []at
	for k, t := range r.Tags {
		if t.Link == link {
			for _, row := range t.Rows {
				rows = append(rows, at{row, k})
			}
		}
	}
	if rows == nil {
		return nil
	}
	sort.SliceStable(rows, func(a, b int) bool { return rows[a].Second < rows[b].Second })
	b := []byte("time,tag,value")
	if r.Site.Quality {
		b = append(b, ",quality"...)
	}
	b = append(b, '\n')
	for _, row := range rows {
		t := &r.Tags[row.tag]
		b = time.Unix(row.Second, 0).In(r.Loc).AppendFormat(b, "2006-01-02T15:04:05Z07:00")
		b = append(append(append(b, ','), t.Name...), ',')
		b = strconv.AppendFloat(b, row.V, 'f', t.Decimals, 64)
		switch {
		case r.Site.Quality && row.Bad:
			b = append(b, ",Bad"...)
		case r.Site.Quality:
			b = append(b, ",Good"...)
		}
		b = append(b, '\n')
	}
	return b
}

// labName is the laboratory's name for a bench result.
func labName(role string) string { return "LAB_" + strings.ToUpper(role) }

func (r *Record) labCSV() []byte {
	gs := append([]Grab(nil), r.Grabs...)
	sort.SliceStable(gs, func(a, b int) bool { return gs[a].Second < gs[b].Second })
	var b bytes.Buffer
	b.WriteString("time,tag,value\n")
	for _, g := range gs {
		fmt.Fprintf(&b, "%s,%s,%.2f\n", time.Unix(g.Second, 0).In(r.Loc).Format("2006-01-02T15:04:05Z07:00"), labName(g.Role), g.V)
	}
	return b.Bytes()
}

func point(at string, k int) string {
	if k == 1 && (at == "inlet" || at == "outlet" || at == "middle") {
		return at + "_2"
	}
	return at
}

func (r *Record) tagsCSV() []byte {
	var b bytes.Buffer
	b.WriteString("tag,measures,at,unit,reading,low,high,max_gap\n")
	s := &r.Site
	reading, gap := "continuous", max(15, 3*s.Every)
	switch s.Storage {
	case Exception:
		reading, gap = "on-change", s.Heartbeat+s.Heartbeat/2+5
	case SwingingDoor:
		gap = s.Heartbeat + 5
	}
	for _, t := range r.Tags {
		for _, tk := range s.tagKinds(t.Train) {
			if ofTrain(tk.role, t.Train) == t.Role {
				fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%g,%g,%d min\n", t.Name, tk.measures, point(tk.at, t.Train), tk.unit, reading, t.Low, t.High, gap)
			}
		}
	}
	seen := map[string]bool{}
	for _, g := range r.Grabs {
		if seen[g.Role] {
			continue
		}
		seen[g.Role] = true
		measures, at := "chlorine_total", "outlet"
		switch g.Role {
		case free, ofTrain(free, 1):
			measures = "chlorine_free"
		case final:
			at = "outfall"
		}
		k := 0
		if strings.HasSuffix(g.Role, "2") {
			k = 1
		}
		fmt.Fprintf(&b, "%s,%s,%s,mg/L,grab,,,\n", labName(g.Role), measures, point(at, k))
	}
	return b.Bytes()
}

func (r *Record) plantTOML() []byte {
	var b bytes.Buffer
	s := &r.Site
	p := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	p("name = %q\ntime_zone = %q\nunits = \"us\"\n", s.Name, s.Zone)
	p("[[point]]\nname = \"influent\"\ninfluent = true\n")
	outfallFlow, carried := "outlet", "flow_at = \"outlet\"\n"
	if s.Trains == 2 {
		outfallFlow, carried = "outfall", ""
	}
	if s.Trains == 1 {
		p("[[point]]\nname = \"secondary\"\nflow_at = \"outlet\"\n")
	}
	for k := range s.Trains {
		n := func(at string) string { return point(at, k) }
		title := ""
		if s.Trains == 2 {
			title = fmt.Sprintf("\ntrain = \"train %d\"", k+1)
		}
		p("[[point]]\nname = %q\nflow_at = %q%s\n", n("inlet"), n("outlet"), title)
		p("[[point]]\nname = %q\nflow_at = %q\nbasin = \"basin%d\"\nfraction = %.2f\n", n("middle"), n("outlet"), k+1,
			(float64((s.Tanks-1)/2)+1)/float64(s.Tanks))
		p("[[point]]\nname = %q\nbasin = \"basin%d\"\nfraction = 1.0\n", n("outlet"), k+1)
		p("[[basin]]\nname = \"basin%d\"%s\ninlet = %q\noutlet = %q\nflow_at = %q\nvolume = \"%.0f gal\"\nbaffling_factor = %.2f", k+1, title,
			n("inlet"), n("outlet"), n("outlet"), s.BasinGal, baffling(s.Tanks))
		if s.ClosedTo > 0 && k == 0 {
			p("closed = [{ from = %q, to = %q }]", r.stamp(s.ClosedFrom), r.stamp(s.ClosedTo))
		}
		res := "chlorine_total"
		if !s.Total {
			res = "chlorine_free"
		}
		p("\n[basin.require]\nct = \"%.0f mg·min/L\"\nresidual = %q\nsource = \"an invented permit\"\n", s.asked(), res)
		chemical, strength := "hypochlorite", "strength = 12.5\nstrength_as = \"trade percent\"\n"
		if s.Gas {
			chemical, strength = "chlorine", ""
		}
		p("[[feed]]\nname = \"chlorine%d\"\nchemical = %q\ntag = %q\ndoses_at = %q\nbasin = \"basin%d\"\nflow_at = %q\n%s", k+1, chemical,
			s.tagName(feed, k), n("inlet"), k+1, n("outlet"), strength)
	}
	p("[[point]]\nname = \"outfall\"\n%sdechlorinated = %t\noutfall = true\n", carried, s.Dechlor)
	if s.Dechlor {
		chemical, strength := "bisulfite", "strength = 38\nstrength_as = \"weight percent\"\nspecific_gravity = 1.33\n"
		if s.Gas {
			chemical, strength = "sulfur_dioxide", ""
		}
		p("[[feed]]\nname = \"dechlor\"\nchemical = %q\ntag = %q\ndoses_at = \"outfall\"\nflow_at = %q\n%s", chemical, s.tagName(sulfite, 0), outfallFlow, strength)
		season := ""
		if s.SeasonFrom > 0 {
			season = fmt.Sprintf("season = \"%s..10-31\"\n", time.Unix(r.First+60*int64(s.SeasonFrom), 0).In(r.Loc).Format("01-02"))
		}
		p("[[limit]]\nparameter = \"chlorine_total\"\nat = \"outfall\"\nstatistic = \"maximum daily\"\nvalue = %.2f\nunit = \"mg/L\"\n%ssample = \"grab\"\nfrequency = \"1/day\"\nsource = \"an invented permit\"\n", outfallLimit, season)
	}
	return b.Bytes()
}

func (r *Record) stamp(i int) string {
	return time.Unix(r.First+60*int64(i), 0).In(r.Loc).Format("2006-01-02 15:04")
}

// baffling is T10 over the mean residence time of stirred tanks in series: the
// tenth percentile of a gamma distribution with as many degrees, over its mean
// (values from a table of chi square, 2n degrees of freedom).
func baffling(tanks int) float64 {
	switch {
	case tanks <= 2:
		return 0.27
	case tanks <= 3:
		return 0.37
	case tanks <= 5:
		return 0.49
	case tanks <= 8:
		return 0.58
	case tanks <= 12:
		return 0.64
	}
	return 0.72
}
