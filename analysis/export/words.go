package export

import "strings"

// Heading words, lower case. A heading matches when, without units and
// brackets, it is one of the words; time headings also by what they contain.
var (
	tagHeads     = set("tag", "tagname", "tag name", "tag_name", "tagid", "tag id", "point", "point name", "pointname", "signal", "sensor", "channel", "variable", "parameter", "analyte", "test", "item", "name", "id", "series", "measurement", "point id", "tag no", "messstelle", "messgröße", "kanal", "kurve", "test name", "determination", "constituent", "タグ", "名称")
	placeHeads   = set("location", "site", "sample point", "sampling point", "sample location", "station", "sample site", "monitoring point", "place", "probenahmestelle", "outfall", "sample_location", "sample id", "source")
	valueHeads   = set("value", "val", "reading", "result", "pv", "data", "measurement value", "wert", "messwert", "valeur", "valor", "process value", "numeric result", "result value", "average", "avg", "mean", "値")
	qualityHeads = set("quality", "qual", "q", "status", "state", "flag", "qc", "good", "statuscode", "status code", "quality code", "isgood", "is good", "is_good", "isvalid", "is valid", "is_valid", "valid", "ok", "qualität", "qualitaet", "güte", "guete", "zustand", "qualité", "qualite", "calidad", "validity", "confidence", "opc quality", "data quality", "品質")
	qualityEnds  = set("quality", "qual", "q", "status", "flag", "valid", "isgood", "qualität", "qualitaet", "güte", "guete", "zustand", "qualité", "qualite", "calidad")
	goodHeads    = set("isgood", "is good", "is_good", "isvalid", "is valid", "is_valid", "valid", "good", "ok") // 1 and true say good
	unitHeads    = set("unit", "units", "uom", "eu", "eng units", "engineering units", "einheit", "unité", "unidad", "unit of measure", "単位")
	descHeads    = set("description", "desc", "descriptor", "bezeichnung", "label", "comment", "comments", "remark", "remarks", "note", "notes", "analyst", "method")
	remarkHeads  = set("comment", "comments", "remark", "remarks", "note", "notes", "analyst", "method", "sampled by", "bemerkung", "remarque", "observaciones") // never a tag's name
	numberHeads  = set("", "#", "no", "no.", "nr", "nr.", "row", "row number", "rownum", "index", "idx", "record", "recno", "seq", "line", "n")
	timeWords    = []string{"time", "date", "zeit", "datum", "fecha", "heure", "日時", "時刻", "日付", "sampled", "collected", "when", "stamp"}
)

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// folded makes names and words comparable: lower case, one blank between words.
func folded(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// accents takes them off small letters.
var accents = strings.NewReplacer("ä", "a", "à", "a", "â", "a", "á", "a", "ã", "a", "é", "e", "è", "e", "ê", "e", "ë", "e", "î", "i", "ï", "i", "í", "i",
	"ô", "o", "ö", "o", "ó", "o", "ü", "u", "û", "u", "ù", "u", "ú", "u", "ç", "c", "ñ", "n", "ß", "ss")

// isNameLetter says whether a name with r in it is more than a number.
func isNameLetter(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r > 0x7f }

// bare is a heading without its bracketed part, lower case.
func bare(h string) string {
	h = strings.ToLower(h)
	if i := strings.IndexAny(h, "([{"); i > 0 {
		h = h[:i]
	}
	return strings.TrimSpace(strings.Trim(h, " :*#"))
}

func isTimeHead(h string) bool {
	b := bare(h)
	if b == "t" || b == "ts" {
		return true
	}
	for _, w := range timeWords {
		if strings.Contains(b, w) {
			// "run time", "contact time", "time in service" are measurements
			switch {
			case strings.Contains(b, "run"), strings.Contains(b, "contact"), strings.Contains(b, "detention"), strings.Contains(b, "elapsed"):
				return false
			}
			return true
		}
	}
	return false
}

// isQualityHead takes "quality" and "ORP quality", "FIT-1.Q", "FIT-1 status".
func isQualityHead(h string) bool {
	b := bare(h)
	if qualityHeads[b] {
		return true
	}
	i := strings.LastIndexAny(b, " _.")
	return i > 0 && qualityEnds[b[i+1:]]
}

func isUnitHead(h string) bool {
	b := bare(h)
	if unitHeads[b] {
		return true
	}
	for _, suf := range []string{" unit", "_unit", ".unit", " units", "_units", ".units", ".eu", "_uom"} {
		if strings.HasSuffix(b, suf) {
			return true
		}
	}
	return false
}

// headingOffset finds an offset from UTC in a time heading: "Time (UTC-05:00)",
// "timestamp_utc", "Zeit [UTC+1]", "Time EST". word is the abbreviation that it is
// written as, "" for one in numbers.
func headingOffset(h string) (sec int64, word string, ok bool) {
	up := strings.ToUpper(strings.ReplaceAll(h, "−", "-"))
	for _, k := range []string{"UTC", "GMT"} {
		if i := strings.Index(up, k); i >= 0 {
			rest := strings.TrimLeft(up[i+3:], " ")
			if len(rest) > 1 && (rest[0] == '+' || rest[0] == '-') {
				if s, n := parseOffset([]byte(rest), nil); n > 0 {
					return s, "", true
				}
				return 0, "", false
			}
			return 0, "", true
		}
	}
	for _, w := range strings.FieldsFunc(up, func(r rune) bool { return strings.ContainsRune(" ()[]_,:;.", r) }) {
		if len(w) >= 3 {
			if s, ok := zoneNames[w]; ok && w != "MST" && w != "EAT" && w != "CAT" && w != "WAT" || ok && strings.ContainsAny(h, "([") {
				return s, w, true
			}
		}
	}
	for _, w := range strings.FieldsFunc(up, func(r rune) bool { return strings.ContainsRune(" ()[]_,", r) }) {
		if len(w) == 6 && (w[0] == '+' || w[0] == '-') && w[3] == ':' {
			if s, n := parseOffset([]byte(w), nil); n == len(w) {
				return s, "", true
			}
		}
	}
	return 0, "", false
}
