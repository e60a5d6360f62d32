package sample

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/quantity"
)

// LikeTags are words with letters and digits that name no instrument.
var likeTags = lex.Set("cl2", "nh3", "nh4", "no2", "no3", "so2", "o2", "o3", "h2s", "co2", "po4", "bod5", "cbod5")

// PlainHead makes headings comparable: lower case, without unit, and one blank
// for whatever stands between words.
func PlainHead(h string) string {
	h, _ = SplitUnit(WithoutValueWord(h))
	return strings.Join(strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return strings.ContainsRune(" ._/:\\", r) }), " ")
}

// WithoutValueWord takes "(Value)" off a heading: beside "(Status)" it says
// nothing about the tag.
func WithoutValueWord(h string) string {
	if i := strings.LastIndexAny(h, "([{"); i > 0 {
		switch strings.ToLower(strings.Trim(h[i:], "()[]{} ")) {
		case "value", "val", "pv", "reading", "result", "wert", "messwert":
			return strings.TrimSpace(h[:i])
		}
	}
	return h
}

// TagWords are the words of a heading that look like an instrument's number.
func TagWords(h string) (out []string) {
	for _, w := range strings.Fields(PlainHead(h)) {
		if strings.ContainsAny(w, "0123456789") && strings.ContainsAny(w, "abcdefghijklmnopqrstuvwxyz") && !likeTags[w] {
			out = append(out, strings.ReplaceAll(w, "-", ""))
		}
	}
	return out
}

// SmallCodes says whether a column of numbers can be a quality: few values, all
// quality codes or 0 and 1.
func SmallCodes(q *ColKind) bool {
	if len(q.Distinct) > 8 {
		return false
	}
	for s := range q.Distinct {
		code, ok := cell.QualityNumber([]byte(s))
		if !ok || !cell.PlausibleCode(code) {
			return false
		}
	}
	return len(q.Distinct) > 0
}

// NoCodes says whether a column holds numbers, and not one that a quality could be.
func NoCodes(q *ColKind) bool {
	for s := range q.Distinct {
		if code, ok := cell.QualityNumber([]byte(s)); ok && cell.PlausibleCode(code) {
			return false
		}
	}
	return q.Full() > 0 && q.Number == q.Full()
}

// SureCodes says whether a column of numbers can be nothing but a quality: few different
// ones, of OPC DA's good codes or of OPC UA.
func SureCodes(q *ColKind) bool {
	sure := false
	for s := range q.Distinct {
		code, ok := cell.QualityNumber([]byte(s))
		sure = sure || ok && (code >= 192 && code < 256 || code >= 1<<22)
	}
	return sure && SmallCodes(q)
}

// SplitUnit takes a unit off a heading: "ORP (mV)", "Flow [MGD]", "Cl2, mg/L".
func SplitUnit(h string) (name, unit string) {
	for _, p := range []string{"()", "[]", "{}"} {
		if i := strings.LastIndexByte(h, p[0]); i > 0 && strings.HasSuffix(h, p[1:]) {
			u := strings.TrimSpace(h[i+1 : len(h)-1])
			if _, err := quantity.ParseUnit(u); err == nil {
				return strings.TrimSpace(h[:i]), u
			}
		}
	}
	if i := strings.LastIndexByte(h, ','); i > 0 {
		u := strings.TrimSpace(h[i+1:])
		if _, err := quantity.ParseUnit(u); err == nil && u != "-" {
			return strings.TrimSpace(h[:i]), u
		}
	}
	return h, ""
}
