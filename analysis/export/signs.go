package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/series"
)

// Laboratories write the sign of a result, or a letter for it, into a column of
// its own: < beside 0.05 is <0.05. U (undetected) and ND mean less than the value
// beside them, J and E an estimate. Common practice, no source.

// signHeads say that a column holds signs; weakSignHeads may as well head a
// quality or remarks, and what stands there decides.
var (
	signHeads = set("qualifier", "qualifiers", "sign", "modifier", "prefix", "symbol", "less than", "lessthan", "lt", "<", ">", "<>", "</>", "<, >", "< or >", "less/greater", "less than/greater than",
		"operator", "comparator", "comparison", "relation", "qualifier code", "remark code", "result qualifier", "result modifier", "result sign", "result prefix", "result symbol",
		"value qualifier", "lab qualifier", "data qualifier", "non detect", "non-detect", "nondetect", "nd", "censored", "zeichen", "vorzeichen", "signe", "signo", "operador", "opérateur")
	weakSignHeads = set("remark", "remarks", "flag", "flags", "result flag", "lab flag", "data flag", "qual", "q", "code", "note", "notes", "comment", "comments", "detect", "detection")
)

// signMeanings are those of the cells; see signOf.
var signMeanings = map[string]series.Flag{
	"": 0, "=": 0, "<": series.LessThan, "<=": series.LessThan, "=<": series.LessThan, "≤": series.LessThan, "lt": series.LessThan, "less than": series.LessThan,
	"u": series.LessThan, "nd": series.LessThan, "n.d.": series.LessThan, "bdl": series.LessThan, "bql": series.LessThan, "brl": series.LessThan, "bld": series.LessThan,
	"not detected": series.LessThan, "non-detect": series.LessThan, "non detect": series.LessThan, "undetected": series.LessThan,
	"uj": series.LessThan | series.Uncertain,
	">":  series.GreaterThan, ">=": series.GreaterThan, "=>": series.GreaterThan, "≥": series.GreaterThan, "gt": series.GreaterThan, "greater than": series.GreaterThan,
	"j": series.Uncertain, "e": series.Uncertain, "b": series.Uncertain, "h": series.Uncertain, "q": series.Uncertain, "est": series.Uncertain, "estimated": series.Uncertain, "r": series.Bad, "rejected": series.Bad,
}

// signOf gives the flags that a cell of signs asks for. less says that the column
// asks whether a result is less than its value.
func signOf(cell string, less bool) (f series.Flag, known bool) {
	s := strings.ToLower(strings.TrimSpace(cell))
	if less {
		switch s {
		case "y", "yes", "true", "x", "1":
			return series.LessThan, true
		case "n", "no", "false", "0":
			return 0, true
		}
	}
	f, known = signMeanings[s]
	return f, known
}

// lessHead says that a heading asks whether a result is less than its value.
func lessHead(base string) bool {
	return strings.HasPrefix(base, "less") || base == "lt" || base == "nd" || base == "<" || strings.HasPrefix(base, "non") || base == "censored"
}

// signHead takes a heading of signs apart: "Qualifier", "TSS Qualifier",
// "TSS_Sign". of is what it says it belongs to.
func signHead(head string) (of, word string, strong, ok bool) {
	b := bare(head)
	if signHeads[b] || weakSignHeads[b] {
		return "", b, signHeads[b], true
	}
	for i := len(b) - 1; i > 0; i-- {
		if !strings.ContainsRune(" _.-", rune(b[i])) {
			continue
		}
		if w := b[i+1:]; signHeads[w] || weakSignHeads[w] {
			return strings.TrimRight(b[:i], " _.-"), w, signHeads[w], true
		}
	}
	return "", "", false, false
}

// signRoles finds the columns of signs, before others are told by what they hold.
func (f *format) signRoles(c *candidate) {
	for k := range f.cols {
		x := &f.cols[k]
		q := &c.kinds[k]
		if x.role != roleSkip || q.time > 0 || len(q.distinct) > 40 {
			continue
		}
		of, word, strong, ok := signHead(x.head)
		if !ok && x.head != "" {
			continue
		}
		signs, letters, others := 0, 0, 0
		for cell := range q.distinct {
			flag, known := signOf(cell, lessHead(word))
			switch {
			case strings.ContainsAny(cell, "<>≤≥") && known, strings.EqualFold(cell, "nd"):
				signs++
			case known && flag != 0, strong && known:
				letters++
			case known, len(cell) <= 2 && !numeric([]byte(cell)):
			default:
				others++
			}
		}
		switch {
		case others > 0 && (signs == 0 || !strong):
		case signs > 0, strong && (letters > 0 || q.blank == q.n):
			x.role, x.of, x.less = roleSign, of, lessHead(word)
		}
	}
}

// placeSigns says which value each column of signs belongs to: the one that it
// names, wherever that stands, else the one before it, or the one behind where
// signs come first. Of several that it may name, the nearest counts, on that side
// first.
func (f *format) placeSigns() {
	first := -1 // of signs and values
	for k := range f.cols {
		if r := f.cols[k].role; (r == roleSign || r == roleValue) && first < 0 {
			first = k
		}
	}
	for k := range f.cols {
		x := &f.cols[k]
		if x.role != roleSign {
			continue
		}
		near, far := f.nextValue(k, -1), f.nextValue(k, 1)
		if f.cols[first].role == roleSign {
			near, far = far, near
		}
		x.signs = near
		if near < 0 {
			x.signs = far
		}
		best := 0
		look := func(v int) {
			if v >= 0 && f.cols[v].role == roleValue {
				if n := names(x.of, f.cols[v].head); n > best {
					x.signs, best = v, n
				}
			}
		}
		look(near)
		look(far)
		for d := 1; d < len(f.cols); d++ {
			if k-d >= 0 {
				look(k - d)
			}
			if k+d < len(f.cols) {
				look(k + d)
			}
		}
	}
}

// names tells how well the name that a column of signs bears is that of a value's
// heading: 3 the same, 2 its first words, 1 its beginning, 0 not at all.
func names(of, head string) int {
	of, plain := plainHead(of), plainHead(head)
	switch {
	case of == "":
		return 0
	case plain == of:
		return 3
	case strings.HasPrefix(plain, of+" "):
		return 2
	case strings.HasPrefix(plain, of):
		return 1
	}
	return 0
}

func (f *format) nextValue(k, step int) int {
	for k += step; k >= 0 && k < len(f.cols); k += step {
		if f.cols[k].role == roleValue {
			return k
		}
	}
	return -1
}

// sign takes a cell of signs on for the value that it belongs to. A word that is
// not known is told with those of quality, and makes the value uncertain.
func (w *worker) sign(c *column, cell []byte) {
	cell = trim(cell)
	f, known := signOf(decodeText(cell), c.less)
	if !known {
		if f = w.q.parse(cell); f == 0 {
			f = series.Uncertain
		}
	}
	w.signed |= f
	if f != 0 {
		w.signText = cell
	}
}

// takeSign gives the flags of the signs met since the last value.
func (w *worker) takeSign() series.Flag {
	f := w.signed
	w.signed = 0
	return f
}

// tellSigns says which columns are read as signs.
func (f *format) tellSigns() {
	var signs []string
	for _, x := range f.cols {
		if x.role == roleSign {
			signs = append(signs, fmt.Sprintf("%q", x.head))
		}
	}
	if len(signs) > 0 {
		f.note(Note, f.skip, "read as signs of the results (<, >, U and ND for less than): %s", strings.Join(signs, ", "))
	}
}
