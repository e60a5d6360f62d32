package layout

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
)

// Laboratories write the sign of a result, or a letter for it, into a column of
// its own: < beside 0.05 is <0.05. U (undetected) and ND mean less than the value
// beside them, J and E an estimate. Common practice, no source.

// signHeads say that a column holds signs; weakSignHeads may as well head a
// quality or remarks, and what stands there decides.
var (
	signHeads = lex.Set("qualifier", "qualifiers", "sign", "modifier", "prefix", "symbol", "less than", "lessthan", "lt", "<", ">", "<>", "</>", "<, >", "< or >", "less/greater", "less than/greater than",
		"operator", "comparator", "comparison", "relation", "qualifier code", "remark code", "result qualifier", "result modifier", "result sign", "result prefix", "result symbol",
		"value qualifier", "lab qualifier", "data qualifier", "non detect", "non-detect", "nondetect", "nd", "censored", "zeichen", "vorzeichen", "signe", "signo", "operador", "opérateur")
	weakSignHeads = lex.Set("remark", "remarks", "flag", "flags", "result flag", "lab flag", "data flag", "result flags", "lab flags", "data flags", "lab qualifiers", "data qualifiers", "qual", "q", "code", "note", "notes", "comment", "comments", "detect", "detection")
)

// lessHead says that a heading asks whether a result is less than its value.
func lessHead(base string) bool {
	return strings.HasPrefix(base, "less") || base == "lt" || base == "nd" || base == "<" || strings.HasPrefix(base, "non") || base == "censored"
}

// signHead takes a heading of signs apart: "Qualifier", "TSS Qualifier",
// "TSS_Sign". of is what it says it belongs to.
func signHead(head string) (of, word string, strong, ok bool) {
	b := strings.ReplaceAll(cell.Bare(head), "_", " ")
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
func (f *Layout) signRoles(c *sample.Candidate) {
	for k := range f.Cols {
		x := &f.Cols[k]
		q := &c.Kinds[k]
		if x.Role != RoleSkip || q.Time > 0 || len(q.Distinct) > 40 {
			continue
		}
		of, word, strong, ok := signHead(x.Head)
		if !ok && x.Head != "" {
			continue
		}
		signs, letters, others := signCounts(q, word, strong)
		// A laboratory leaves most results unqualified; a signal's quality stands in
		// every row.
		switch {
		case others > 0 && (signs == 0 || !strong):
		case signs > 0, (strong || f.laboratory() || q.Blank > 0 && q.Number == 0) && letters > 0 && others == 0, strong && (letters > 0 || q.Blank == q.N):
			x.Role, x.of, x.Less = RoleSign, of, lessHead(word)
		}
	}
}

// signCounts counts a column's different cells that are signs, letters of laboratories, and
// neither.
func signCounts(q *sample.ColKind, word string, strong bool) (signs, letters, others int) {
	for field := range q.Distinct {
		flag, known := cell.SignOf(field, lessHead(word))
		switch {
		case strings.ContainsAny(field, "<>≤≥") && known, strings.EqualFold(field, "nd"):
			signs++
		case known && flag != 0, strong && known:
			letters++
		case known, len(field) <= 2 && !cell.Numeric([]byte(field)):
		default:
			others++
		}
	}
	return signs, letters, others
}

// placeSigns says which value each column of signs belongs to: the one that it
// names, wherever that stands, else the one before it, or the one behind where
// signs come first. Of several that it may name, the nearest counts, on that side
// first.
func (f *Layout) placeSigns() {
	first := -1 // of signs and values
	for k := range f.Cols {
		if r := f.Cols[k].Role; (r == RoleSign || r == RoleValue) && first < 0 {
			first = k
		}
	}
	for k := range f.Cols {
		x := &f.Cols[k]
		if x.Role != RoleSign {
			continue
		}
		near, far := f.nextValue(k, -1), f.nextValue(k, 1)
		if f.Cols[first].Role == RoleSign {
			near, far = far, near
		}
		x.Signs = near
		if near < 0 {
			x.Signs = far
		}
		best := 0
		look := func(v int) {
			if v >= 0 && f.Cols[v].Role == RoleValue {
				if n := names(x.of, f.Cols[v].Head); n > best {
					x.Signs, best = v, n
				}
			}
		}
		look(near)
		look(far)
		for d := 1; d < len(f.Cols); d++ {
			if k-d >= 0 {
				look(k - d)
			}
			if k+d < len(f.Cols) {
				look(k + d)
			}
		}
	}
}

// names tells how well the name that a column of signs bears is that of a value's
// heading: 3 the same, 2 its first words, 1 its beginning, 0 not at all.
func names(of, head string) int {
	of, plain := sample.PlainHead(of), sample.PlainHead(head)
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

func (f *Layout) nextValue(k, step int) int {
	for k += step; k >= 0 && k < len(f.Cols); k += step {
		if f.Cols[k].Role == RoleValue {
			return k
		}
	}
	return -1
}

// noteSigns says which columns are read as signs.
func (f *Layout) noteSigns() {
	var signs []string
	for _, x := range f.Cols {
		if x.Role == RoleSign {
			signs = append(signs, fmt.Sprintf("%q", x.Head))
		}
	}
	if len(signs) > 0 {
		f.Note(ledger.Note, f.Skip, "read as signs of the results (<, >, U and ND for less than): %s", strings.Join(signs, ", "))
	}
}
