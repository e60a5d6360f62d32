package sample

import (
	"regexp"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

// Heading words, lower case. A heading matches when, without units and
// brackets, it is one of the words; time headings also by what they contain.
var (
	TagHeads   = lex.Set("tag", "tagname", "tag name", "tag_name", "tagid", "tag id", "point", "point name", "pointname", "signal", "sensor", "channel", "variable", "parameter", "analyte", "test", "item", "name", "id", "series", "measurement", "point id", "tag no", "messstelle", "messgröße", "kanal", "kurve", "test name", "determination", "constituent", "タグ", "名称")
	PlaceHeads = lex.Set("location", "site", "sample point", "sampling point", "sample location", "station", "sample site", "monitoring point", "place", "sample pt", "sampling location", "sampling site", "sampling pt", "loc", "sample place", "location code", "location id", "site id", "station id", "ort", "lieu", "punto", "probenahmestelle", "outfall", "sample_location", "sample id", "source")
	// ParameterHeads head what a laboratory measured: beside a column of places they
	// are the tags.
	ParameterHeads = lex.Set("parameter", "analyte", "test", "test name", "determination", "determinand", "constituent", "parameter name", "analyte name", "compound", "component", "param", "parametro", "paramètre")
	ValueHeads     = lex.Set("value", "val", "reading", "result", "pv", "data", "measurement value", "wert", "messwert", "valeur", "valor", "process value", "numeric result", "result value", "average", "avg", "mean", "値")
	QualityHeads   = lex.Set("quality", "qual", "q", "status", "state", "flag", "qc", "good", "statuscode", "status code", "quality code", "isgood", "is good", "is_good", "isvalid", "is valid", "is_valid", "valid", "ok", "qualität", "qualitaet", "güte", "guete", "zustand", "qualité", "qualite", "calidad", "validity", "confidence", "opc quality", "data quality", "品質")
	qualityEnds    = lex.Set("quality", "qual", "q", "status", "flag", "valid", "isgood", "qualität", "qualitaet", "güte", "guete", "zustand", "qualité", "qualite", "calidad")
	GoodHeads      = lex.Set("isgood", "is good", "is_good", "isvalid", "is valid", "is_valid", "valid", "good", "ok") // 1 and true say good
	unitHeads      = lex.Set("unit", "units", "uom", "eu", "eng units", "engineering units", "einheit", "unité", "unidad", "unit of measure", "単位")
	DescHeads      = lex.Set("description", "desc", "descriptor", "bezeichnung", "label", "comment", "comments", "remark", "remarks", "note", "notes", "analyst", "method")
	// TextHeads head what a tag is in words, a row a reading.
	TextHeads   = lex.Set("description", "desc", "descriptor", "tag description", "tag desc", "point description", "point desc", "long name", "longname", "full name", "label", "caption", "service", "bezeichnung", "beschreibung", "klartext", "descripción", "descripcion", "désignation", "designation", "libellé", "libelle", "descrição", "descricao", "descrizione", "omschrijving", "説明")
	RemarkHeads = lex.Set("comment", "comments", "remark", "remarks", "note", "notes", "analyst", "method", "sampled by", "bemerkung", "remarque", "observaciones") // never a tag's name
	numberHeads = lex.Set("", "#", "no", "no.", "nr", "nr.", "row", "row number", "rownum", "index", "idx", "record", "recno", "seq", "line", "n")
	timeWords   = []string{"time", "date", "zeit", "datum", "fecha", "heure", "日時", "時刻", "日付", "sampled", "collected", "when", "stamp"}
)

func IsTimeHead(h string) bool {
	b := cell.Bare(h)
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

// IsQualityHead takes "quality" and "ORP quality", "FIT-1.Q", "FIT-1 status".
func IsQualityHead(h string) bool {
	b := cell.Bare(h)
	if QualityHeads[b] {
		return true
	}
	i := strings.LastIndexAny(b, " _.")
	return i > 0 && qualityEnds[b[i+1:]]
}

func IsUnitHead(h string) bool {
	b := cell.Bare(h)
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

// HeadingOffset finds an offset from UTC in a time heading: "Time (UTC-05:00)",
// "timestamp_utc", "Zeit [UTC+1]", "Time EST". word is the abbreviation that it is
// written as, "" for one in numbers.
func HeadingOffset(h string) (sec int64, word string, ok bool) {
	up := strings.ToUpper(strings.ReplaceAll(h, "−", "-"))
	for _, k := range []string{"UTC", "GMT"} {
		if i := strings.Index(up, k); i >= 0 {
			rest := strings.TrimLeft(up[i+3:], " ")
			if len(rest) > 1 && (rest[0] == '+' || rest[0] == '-') {
				if s, n := stamp.ParseOffset([]byte(rest), nil); n > 0 {
					return s, "", true
				}
				return 0, "", false
			}
			return 0, "", true
		}
	}
	for _, w := range strings.FieldsFunc(up, func(r rune) bool { return strings.ContainsRune(" ()[]_,:;.", r) }) {
		if len(w) >= 3 {
			if s, ok := stamp.ZoneNames[w]; ok && w != "MST" && w != "EAT" && w != "CAT" && w != "WAT" || ok && strings.ContainsAny(h, "([") {
				return s, w, true
			}
		}
	}
	for _, w := range strings.FieldsFunc(up, func(r rune) bool { return strings.ContainsRune(" ()[]_,", r) }) {
		if len(w) == 6 && (w[0] == '+' || w[0] == '-') && w[3] == ':' {
			if s, n := stamp.ParseOffset([]byte(w), nil); n == len(w) {
				return s, "", true
			}
		}
	}
	return 0, "", false
}

var (
	ZoneKey    = regexp.MustCompile(`(?i)^(?:.*\b)?(?:time ?zone|time_zone|tz|zeitzone|zona horaria|fuseau horaire|(?:utc|gmt) ?offset|offset from (?:utc|gmt))\b["']?\s*(?:[:=,;\t]|is\b|\s)\s*(.+)$`)
	zoneLine   = regexp.MustCompile(`(?i)^["'#!/ ]*(?:time ?zone|time_zone|tz|zeitzone|zona horaria|fuseau horaire|(?:utc|gmt) ?offset)\b`)
	ZoneSaying = regexp.MustCompile(`(?i)\b(?:times?|timestamps?|time stamps?|clocks?)(?: and dates?)? (?:(?:are|is|in|on|as|shown|given|stated|stamped) )+(.+)$`)
	ZoneName   = regexp.MustCompile(`\b[A-Z][A-Za-z]+(?:/[A-Z][A-Za-z0-9_+-]+)+`)
	ZonePlain  = regexp.MustCompile(`(?i)^\(?(?:(?:utc|gmt|z)(?:\s*[+-]\s*\d{1,2}(?::?\d\d)?)?|[+-]\d{1,2}(?::?\d\d)?|[a-z]{3,5}|(?:utc|gmt)\b.*universal.*)\)?\.?$`)
)

var limitHeads = map[string]int{"rl": 1, "reporting limit": 1, "report limit": 1, "mrl": 1, "pql": 1, "loq": 1, "ql": 1, "quantitation limit": 1, "practical quantitation limit": 1, "rdl": 1, "minimum reporting limit": 1, "rep limit": 1, "reporting level": 1, "lower reporting limit": 1, "reporting detection limit": 1, "bestimmungsgrenze": 1,
	"mdl": 2, "dl": 2, "lod": 2, "detection limit": 2, "method detection limit": 2, "det limit": 2, "nachweisgrenze": 2}

// LimitRank says what a column of a laboratory's sheet holds by its heading, as
// plain words: 1 the reporting limit, 2 the detection limit, 0 neither.
func LimitRank(head string) int { return limitHeads[head] }
