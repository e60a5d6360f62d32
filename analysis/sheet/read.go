package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/gocarina/gocsv"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Columns are the headings that a sheet may have.
type Columns struct {
	Known  []string
	Needed int // how many of the first must be there
}

// Read reads a sheet kept by hand into a pointer to a slice of structs whose
// string fields are tagged with their headings, and gives the line of each
// row. It takes what spreadsheets write: a byte order mark, UTF-16, Windows-1252,
// commas, semicolons or tabs, a "sep=" line. Rows without a word, and those that
// begin with #, are left out; surrounding blanks go, and so does the apostrophe of
// Neutral. decimalComma says that the separators are semicolons.
//
// The error names every mistake with the sheet's name and line: a heading that is
// not known, twice or missing, or a row with more fields than headings.
func Read(name string, raw []byte, cols Columns, into any) (lines []int, decimalComma bool, err error) {
	r, err := open(name, raw)
	if err != nil {
		return nil, false, err
	}
	if err := r.heading(cols); err != nil {
		return nil, false, err
	}
	err = gocsv.UnmarshalCSV(r, into)
	return r.lines, r.c.Comma == ';', errors.Join(err, errors.Join(r.errs...))
}

// reader is a gocsv.CSVReader that keeps the place of each row in the file.
type reader struct {
	name  string
	c     *csv.Reader
	above int // lines before the heading
	head  []string
	lines []int
	errs  []error
}

func open(name string, raw []byte) (*reader, error) {
	for _, k := range []struct{ magic, what string }{
		{"PK\x03\x04", "a spreadsheet workbook"}, {"\xd0\xcf\x11\xe0", "an old spreadsheet workbook"}, {"%PDF", "a PDF document"},
	} {
		if bytes.HasPrefix(raw, []byte(k.magic)) {
			return nil, fmt.Errorf("%s: this is %s and no CSV; save its sheet as \"CSV UTF-8\" under the same name", name, k.what)
		}
	}
	text, err := decoded(raw)
	if err != nil {
		return nil, fmt.Errorf("%s: not readable as text: %w; save it as \"CSV UTF-8\"", name, err)
	}
	r := &reader{name: name}
	first, rest, _ := strings.Cut(text, "\n")
	var comma rune
	if sep, ok := strings.CutPrefix(strings.ToLower(strings.Trim(first, "\"\r ")), "sep="); ok && utf8.RuneCountInString(sep) == 1 {
		comma, _ = utf8.DecodeRuneInString(sep)
		text, r.above = rest, 1
		first, _, _ = strings.Cut(rest, "\n")
	}
	if comma == 0 {
		comma = ','
		for _, sep := range []rune{';', '\t'} {
			if strings.Count(first, string(sep)) > strings.Count(first, string(comma)) {
				comma = sep
			}
		}
	}
	if comma == '"' || comma == '\r' || comma == '\n' {
		return nil, fmt.Errorf("%s:1: %q cannot separate columns; save it as \"CSV UTF-8\"", name, first)
	}
	r.c = csv.NewReader(strings.NewReader(text))
	r.c.Comma = comma
	r.c.FieldsPerRecord = -1
	r.c.TrimLeadingSpace = true
	r.c.Comment = '#' // whatever quotation marks a remark holds
	return r, nil
}

// decoded is the text of a sheet, by its byte order mark or by what its bytes allow.
func decoded(raw []byte) (string, error) {
	var enc encoding.Encoding
	raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
	switch {
	case bytes.HasPrefix(raw, []byte("\xff\xfe")), bytes.HasPrefix(raw, []byte("\xfe\xff")):
		enc = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case len(raw) > 3 && raw[0] != 0 && raw[1] == 0 && raw[3] == 0:
		enc = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case len(raw) > 3 && raw[0] == 0 && raw[1] != 0 && raw[2] == 0:
		enc = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	case !utf8.Valid(raw):
		enc = charmap.Windows1252
	default:
		return string(raw), nil
	}
	out, err := enc.NewDecoder().Bytes(raw)
	return strings.TrimPrefix(string(out), "\ufeff"), err
}

func (r *reader) heading(cols Columns) error {
	head, err := r.c.Read()
	if err != nil {
		return fmt.Errorf("%s:%d: no heading row; write %s", r.name, r.above+1, strings.Join(cols.Known, ","))
	}
	line := r.line(0)
	if most := 10 * len(cols.Known); len(head) > most {
		return fmt.Errorf("%s:%d: a heading of %d columns; this is no such sheet: the columns are %s", r.name, line, len(head), strings.Join(cols.Known, ", "))
	}
	seen := map[string]bool{}
	for _, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		r.head = append(r.head, h)
		switch {
		case h == "":
		case seen[h]:
			r.errs = append(r.errs, fmt.Errorf("%s:%d: column %q stands twice", r.name, line, h))
		case !contains(cols.Known, h):
			r.errs = append(r.errs, fmt.Errorf("%s:%d: unknown column %q%s; the columns are %s", r.name, line, h, meant(h, cols.Known), strings.Join(cols.Known, ", ")))
		}
		seen[h] = true
	}
	for _, k := range cols.Known[:cols.Needed] {
		if !seen[k] {
			r.errs = append(r.errs, fmt.Errorf("%s:%d: column %q is missing", r.name, line, k))
		}
	}
	return errors.Join(r.errs...)
}

func contains(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

// meant suggests the heading that a misspelt one comes nearest to.
func meant(h string, known []string) string {
	for _, k := range known {
		if nearly(h, k) {
			return fmt.Sprintf(" (%q?)", k)
		}
	}
	return ""
}

// nearly says that two words differ by one letter added, left out or changed.
func nearly(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 || len(b) < 3 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return a[i:] == b[i+1:] || len(a) == len(b) && i < len(a) && a[i+1:] == b[i+1:]
}

// line is the line of a field of the last row.
func (r *reader) line(field int) int {
	line, _ := r.c.FieldPos(field)
	return r.above + line
}

// Read gives the heading and then a row at a time.
func (r *reader) Read() ([]string, error) { return nil, errors.ErrUnsupported }

// ReadAll gives the heading and all rows.
func (r *reader) ReadAll() ([][]string, error) {
	out := [][]string{r.head}
	for {
		row, err := r.c.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				err = fmt.Errorf("%s:%d: %w; a cell with a quotation mark stands between quotes, and the mark in it twice", r.name, r.above+pe.StartLine, pe.Err)
			}
			r.errs = append(r.errs, err)
			return out, nil
		}
		for i, s := range row {
			row[i] = Plain(strings.TrimSpace(s))
		}
		if strings.Join(row, "") == "" || strings.HasPrefix(row[0], "#") {
			continue
		}
		if len(row) > len(r.head) && strings.Join(row[len(r.head):], "") != "" {
			r.errs = append(r.errs, fmt.Errorf("%s:%d: %d fields under %d headings; a text with %q in it stands between quotes", r.name, r.line(0), len(row), len(r.head), string(r.c.Comma)))
			continue
		}
		r.lines = append(r.lines, r.line(0))
		out = append(out, row[:min(len(row), len(r.head))])
	}
}
