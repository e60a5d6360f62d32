package draft

import (
	"regexp"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

var (
	camel     = regexp.MustCompile(`([\p{Ll}])([\p{Lu}])`)
	wholeWord = regexp.MustCompile(`[\p{L}\p{N}]+`)
	formula   = regexp.MustCompile(`[\p{L}]+[0-9]?[\p{L}]?`)
	longRun   = regexp.MustCompile(`([\p{L}]+)(?:[0-9]{2,}|$)|([\p{L}]{3,})[0-9]`)
)

// apart puts blanks where words meet without any: ccbOrp, T1FIT101.
func apart(s string) string {
	s = strings.ReplaceAll(s, "pH", "PH")
	return numberedGlued.ReplaceAllString(camel.ReplaceAllString(s, "$1 $2"), "$1 $2")
}

// plain writes a word in small letters without accents, an umlaut as two
// letters, as plants that write plain ASCII do.
func plain(s string) string {
	s = umlauts.Replace(strings.ToLower(s))
	var b strings.Builder
	for _, r := range norm.NFD.String(s) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss")

// tokens cuts a tag's name or description into plain words, in their order, with
// their parts: "AIT-422_FreeCl2" gives ait, free, cl2, freecl2; "FT7300" gives ft.
func tokens(s string) []string {
	var out []string
	seen := map[string]bool{}
	add := func(w string) {
		if w != "" && !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	for _, where := range []string{apart(s), s} {
		for _, w := range wholeWord.FindAllString(where, -1) {
			w = plain(w)
			for _, part := range formula.FindAllString(w, -1) {
				add(part)
			}
			for _, m := range longRun.FindAllStringSubmatch(w, -1) {
				add(m[1] + m[2])
			}
			for _, part := range unglued(w) {
				add(part)
			}
			if bare := strings.TrimRight(w, "0123456789"); knownWords()[bare] {
				add(bare) // DO1
			}
			add(w)
		}
	}
	if low := strings.ToLower(s); strings.Contains(low, "e. coli") || strings.Contains(low, "e.coli") || strings.Contains(low, "e coli") || strings.Contains(low, "e_coli") {
		add("ecoli")
	}
	return out
}

func contains(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

// vocabulary is a list of words; one that begins or ends with * may stand within
// a longer word.
type vocabulary []string

func list(s string) vocabulary { return strings.Fields(s) }

// in gives the first word of ws that v holds; "" if none.
func (v vocabulary) in(ws []string) string {
	for _, w := range ws {
		for _, k := range v {
			if w == k || k[len(k)-1] == '*' && strings.HasPrefix(w, k[:len(k)-1]) || k[0] == '*' && strings.Contains(w, strings.Trim(k, "*")) {
				return w
			}
		}
	}
	return ""
}

// knownWords are the words of three letters and more that name kinds and places,
// and the two of two that stand in glued names: pH and DO.
var knownWords = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{"ph": true, "do": true, "in": true}
	all := list("lab flow")
	for _, c := range candidates {
		all = append(all, c.words...)
	}
	for _, v := range []vocabulary{contactWords, inWords, outWords, middleWords, secondaryWords, finalWords, rawWords, aerationWords, returnWords, wasteWords} {
		all = append(all, v...)
	}
	for _, w := range all {
		if len(w) > 2 && !strings.Contains(w, "*") {
			out[w] = true
		}
	}
	return out
})

// unglued cuts a word that is none into words that are, CCBTRC and INFFLOW; nil
// where that cannot be done, or the word is known itself.
func unglued(w string) []string {
	known := knownWords()
	if len(w) < 5 || known[w] {
		return nil
	}
	for i := len(w) - 2; i >= 2; i-- {
		if !known[w[:i]] {
			continue
		}
		if known[w[i:]] {
			return []string{w[:i], w[i:]}
		}
		if rest := unglued(w[i:]); rest != nil {
			return append([]string{w[:i]}, rest...)
		}
	}
	return nil
}
