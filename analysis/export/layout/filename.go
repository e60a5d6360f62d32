package layout

import (
	"path"
	"regexp"
	"strings"

	"weirbook/analysis/export/lex"
)

// BaseName is a file's name without its folders and what it ends in.
func BaseName(name string) string {
	base := path.Base(strings.ReplaceAll(name, "\\", "/"))
	for _, suf := range []string{".gz", ".csv", ".txt", ".tsv", ".dat", ".CSV", ".TXT"} {
		base = strings.TrimSuffix(base, suf)
	}
	return base
}

const fileClock = `(?:[T_ -]?[0-2]\d[-.:]?[0-5]\d(?:[-.:]?[0-5]\d)?Z?)?`

// The regular expressions of FileDate: 20260310, 2026-03-10, 2026-03, 10.03.2026,
// with or without a time of day; and of FileMonth, 202603.
var (
	FileDate = atEnds(`(?:(?:19|20)\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])` + fileClock +
		`|(?:19|20)\d\d[-_.](?:0[1-9]|1[0-2])(?:[-_.](?:0[1-9]|[12]\d|3[01])` + fileClock + `)?` +
		`|\d\d?[-_.]\d\d?[-_.](?:19|20)\d\d)`)
	FileMonth = atEnds(`(?:19|20)\d\d(?:0[1-9]|1[0-2])`)

	CopyMark = regexp.MustCompile(`(?i)(?:[ _-]*\(\d+\)|[ _-]+copy)$`)
	dangling = regexp.MustCompile(`(?i)(?:^|[ _.,\-–]+)(?:from|to|bis|thru|through|von)?[ _.,\-–]*$`)
)

// atEnds finds a date at the end and at the beginning of a name.
func atEnds(date string) [2]*regexp.Regexp {
	return [2]*regexp.Regexp{
		regexp.MustCompile(`(?i)(?:^|[ _.,\-–(])` + date + `\)?$`),
		regexp.MustCompile(`(?i)^` + date + `(?:[ _.,\-–]|$)`),
	}
}

// WithoutDates takes dates off a name's ends; a name that would be left without a
// letter stays as it is.
func WithoutDates(name string, date [2]*regexp.Regexp) string {
	s := name
	for {
		was := s
		s = CopyMark.ReplaceAllString(s, "")
		if x := date[0].ReplaceAllString(s, ""); x != s {
			s = dangling.ReplaceAllString(x, "")
		}
		if x := date[1].ReplaceAllString(s, ""); x != s {
			s = strings.TrimLeft(x, " _.,-–")
		}
		if s == was {
			break
		}
	}
	if !strings.ContainsFunc(s, lex.IsNameLetter) {
		return name
	}
	return s
}
