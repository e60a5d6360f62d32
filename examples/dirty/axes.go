package main

import (
	"fmt"
	"slices"
	"strings"
)

// An axis is one way in which exports differ, with the ways it is found in. The
// first is the plain one.
type axis struct {
	name string
	ways []string
}

// axes of an export. Every pair of ways of two axes makes a file.
var axes = []axis{
	{"layout", []string{"wide", "long", "long, value first", "pairs", "pairs, value first", "own times"}},
	{"dates", []string{"iso", "iso T", "m/d/y am/pm", "d/m/y", "d.m.y", "d-mon-y", "compact", "serial", "epoch s", "epoch ms", "two columns", "fraction", "offset", "two-digit year", "ms column", "early d/m/y"}},
	{"delimiter", []string{"comma", "semicolon", "tab", "bar"}},
	{"decimal", []string{"point", "comma"}},
	{"number", []string{"plain", "thousands", "thousands apostrophe", "thousands thin space", "thousands no-break space", "exponent", "unit in cell", "full width", "minus sign", "padded", "trailing zeros", "plus sign"}},
	{"head", []string{"plain", "title", "units row", "units in heading", "hash line between", "small table above", "clock line", "no heading", "quoted", "quoted over two lines"}},
	{"missing", []string{"none", "blank", "NULL", "NaN", "dashes", "#N/A", "1.#QNAN", "-1.#IND", "#-1", "-9999", "words"}},
	{"quality", []string{"none", "words", "192", "column of -1", "NULL"}},
	{"encoding", []string{"utf-8", "bom", "utf-16", "utf-16be", "windows-1252"}},
	{"line ends", []string{"lf", "crlf", "cr", "no last"}},
	{"order", []string{"oldest first", "newest first", "shuffled", "a block twice"}},
	{"tail", []string{"none", "average", "end of report", "trailing delimiters", "blank lines", "heading again", "cut short"}},
	{"clock", []string{"plain", "spring", "autumn", "midnight 24:00", "midnight old date"}},
	{"start", []string{"at once", "outage", "one row", "gaps"}},
}

// A crossing says the way of each axis.
type crossing map[string]string

func plain() crossing {
	c := crossing{}
	for _, a := range axes {
		c[a.name] = a.ways[0]
	}
	return c
}

// String names the axes that are not plain.
func (c crossing) String() string {
	var s []string
	for _, a := range axes {
		if c[a.name] != a.ways[0] {
			s = append(s, a.name+"="+c[a.name])
		}
	}
	if s == nil {
		return "plain"
	}
	return strings.Join(s, " + ")
}

// crossings are the plain file, each way alone, and every two ways of two axes.
func crossings() []crossing {
	seen := map[string]bool{}
	var all []crossing
	add := func(c crossing) {
		if k := c.String(); !seen[k] && possible(c) {
			seen[k] = true
			all = append(all, c)
		}
	}
	for i, a := range axes {
		for _, b := range axes[i+1:] {
			for _, wa := range a.ways {
				for _, wb := range b.ways {
					c := plain()
					c[a.name], c[b.name] = wa, wb
					add(c)
				}
			}
		}
	}
	return all
}

// possible leaves out what nobody could write: a decimal comma is quoted between
// commas, but a number cannot have two kinds of mark, nor a matrix a 24:00 that
// its times do not show as text.
func possible(c crossing) bool {
	numeric := map[string]bool{"serial": true, "epoch s": true, "epoch ms": true}
	switch {
	case strings.HasPrefix(c["clock"], "midnight") && (numeric[c["dates"]] || c["dates"] == "offset"):
		return false // a number or an offset does not write a midnight in two ways
	case c["clock"] == "midnight 24:00" && c["dates"] == "m/d/y am/pm":
		return false
	case c["encoding"] == "windows-1252" && c["number"] == "thousands thin space":
		return false // not in that code page
	case c["encoding"] == "windows-1252" && (c["number"] == "full width" || c["number"] == "minus sign"):
		return false
	case c["head"] == "no heading" && c["quality"] != "none":
		return false // nothing says which column is a quality
	case c["head"] == "no heading" && !strings.HasPrefix(c["layout"], "long"):
		return false // nor how the columns are called
	}
	return true
}

// parse reads what String wrote, for -show.
func parse(s string) (crossing, error) {
	c := plain()
	if s == "plain" {
		return c, nil
	}
	for _, part := range strings.Split(s, " + ") {
		name, way, ok := strings.Cut(part, "=")
		i := slices.IndexFunc(axes, func(a axis) bool { return a.name == name })
		if !ok || i < 0 {
			return nil, fmt.Errorf("%q is not AXIS=WAY", part)
		}
		if !slices.Contains(axes[i].ways, way) {
			return nil, fmt.Errorf("axis %s has no way %q; it has: %s", name, way, strings.Join(axes[i].ways, ", "))
		}
		c[name] = way
	}
	return c, nil
}
