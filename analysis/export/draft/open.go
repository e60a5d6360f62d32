package draft

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
)

// Files are the two files of a plant description. They are the truth: what is
// open is read from them, and an answer is written into them.
type Files struct {
	Plant, Tags []byte
}

// Open is a question that stands open in the files.
type Open struct {
	Key      string   // names it in a file of answers: "AIT-425 at", "contact_basin volume", "time_zone"
	Text     string   // the question
	About    []string // what is known of it, a line a tag
	Choices  []string // what may be answered by its number, the guess first; none: write it
	Optional bool     // a first report does without

	rows []openRow // of tags.csv
	line int       // of plant.toml, from 0
}

// openRow is a row of tags.csv whose note asks.
type openRow struct {
	tag string
	ask ask
}

// OpenQuestions lists what is open, in the order in which it is best answered.
func OpenQuestions(f Files) ([]Open, error) {
	sheet, err := readSheet(f.Tags)
	if err != nil {
		return nil, err
	}
	plant := openInPlant(f.Plant)
	var out []Open
	for _, optional := range []bool{false, true} {
		for _, first := range []bool{true, false} {
			for _, q := range plant {
				if q.Optional == optional && first == beforeTags(q.Key) {
					out = append(out, q)
				}
			}
			if first && !optional {
				out = append(out, openInTags(sheet)...)
			}
		}
	}
	return out, nil
}

// beforeTags: how files are read, and on which clock, comes before what is in them.
func beforeTags(key string) bool {
	return key == "time_zone" || strings.HasSuffix(key, " date_order") || strings.HasSuffix(key, " decimal")
}

var openAsk = regexp.MustCompile(`^(.*?) \[([a-z]+(?: [a-z]+)*): ([^\]]*)\](?:; )?`)

const check = "CHECK: "

// asksOf reads the questions of a note, and what else it says.
func asksOf(note string) (asks []ask, rest string) {
	text, ok := strings.CutPrefix(note, check)
	if !ok {
		return nil, note
	}
	for {
		m := openAsk.FindStringSubmatch(text)
		if m == nil {
			return asks, text
		}
		asks = append(asks, ask{m[1], strings.Fields(m[2]), strings.Split(m[3], " | ")})
		text = text[len(m[0]):]
	}
}

// openInTags joins the rows' questions that are the same.
func openInTags(s *tagSheet) []Open {
	var out []Open
	at := map[string]int{}
	for _, r := range s.rows {
		asks, rest := asksOf(s.get(r, "note"))
		for _, a := range asks {
			k, ok := at[a.text]
			if !ok {
				k = len(out)
				at[a.text] = k
				out = append(out, Open{Key: s.get(r, "tag") + " " + strings.Join(a.columns, " "), Text: a.text})
			}
			q := &out[k]
			q.rows = append(q.rows, openRow{s.get(r, "tag"), a})
			q.About = append(q.About, fmt.Sprintf("%s  %s", s.get(r, "tag"), strings.Trim(strings.TrimSpace(rest), "()")))
		}
	}
	for k := range out {
		q := &out[k]
		n := len(q.rows[0].ask.choices)
		for _, r := range q.rows {
			n = min(n, len(r.ask.choices))
		}
		for i := range n {
			q.Choices = append(q.Choices, q.choice(i))
		}
	}
	// What it is comes before where it is, and that before its unit.
	rank := func(q Open) int {
		for i, c := range []string{"measures", "at", "unit"} {
			if slices.Contains(q.rows[0].ask.columns, c) {
				return i
			}
		}
		return 3
	}
	slices.SortStableFunc(out, func(a, b Open) int { return rank(a) - rank(b) })
	return out
}

// choice shows the n-th choice of all rows.
func (q Open) choice(n int) string {
	first := q.rows[0].ask.choices[n]
	same := true
	var parts []string
	for _, r := range q.rows {
		same = same && r.ask.choices[n] == first
		parts = append(parts, r.tag+" "+r.ask.choices[n])
	}
	if same {
		return first
	}
	return strings.Join(parts, ", ")
}

// tagSheet is tags.csv with the place of each row, so that rows that do not change
// stay byte for byte.
type tagSheet struct {
	raw   []byte
	comma rune
	crlf  bool
	col   map[string]int
	rows  []sheetRow
}

type sheetRow struct {
	from, to int // bytes
	cells    []string
}

func readSheet(raw []byte) (*tagSheet, error) {
	s := &tagSheet{raw: raw, comma: ',', crlf: bytes.Contains(raw, []byte("\r\n")), col: map[string]int{}}
	skip := 0
	if bytes.HasPrefix(raw, []byte("\xef\xbb\xbf")) {
		skip = 3
	}
	body := raw[skip:]
	first, rest, _ := bytes.Cut(body, []byte("\n"))
	if sep, ok := bytes.CutPrefix(bytes.TrimSpace(first), []byte("sep=")); ok {
		skip += len(body) - len(rest)
		body = rest
		first, _, _ = bytes.Cut(body, []byte("\n"))
		if len(sep) == 1 {
			s.comma = rune(sep[0])
		}
	}
	for _, c := range ";\t" {
		if bytes.Count(first, []byte(string(c))) > bytes.Count(first, []byte(string(s.comma))) {
			s.comma = c
		}
	}
	c := csv.NewReader(bytes.NewReader(body))
	c.Comma, c.FieldsPerRecord, c.TrimLeadingSpace = s.comma, -1, s.comma != '\t'
	for {
		from := int(c.InputOffset())
		rec, err := c.Read()
		if errors.Is(err, io.EOF) {
			return s, nil
		}
		if err != nil {
			return nil, err
		}
		if len(s.col) == 0 {
			for i, h := range rec {
				s.col[strings.ToLower(strings.TrimSpace(h))] = i
			}
			continue
		}
		s.rows = append(s.rows, sheetRow{skip + from, skip + int(c.InputOffset()), rec})
	}
}

func (s *tagSheet) get(r sheetRow, column string) string {
	if i, ok := s.col[column]; ok && i < len(r.cells) {
		return strings.TrimSpace(r.cells[i])
	}
	return ""
}

// with gives the sheet's bytes with cells of a tag's row changed.
func (s *tagSheet) with(tag string, cells map[string]string) ([]byte, error) {
	for _, r := range s.rows {
		if s.get(r, "tag") != tag {
			continue
		}
		rec := slices.Clone(r.cells)
		for column, v := range cells {
			i, ok := s.col[column]
			if !ok {
				return nil, fmt.Errorf("tags.csv has no column %q", column)
			}
			for len(rec) <= i {
				rec = append(rec, "")
			}
			rec[i] = v
		}
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Comma, w.UseCRLF = s.comma, s.crlf
		w.Write(rec)
		w.Flush()
		line := b.Bytes()
		if !bytes.HasSuffix(s.raw[r.from:r.to], []byte("\n")) {
			line = bytes.TrimRight(line, "\r\n")
		}
		// Blank lines before the row stay where they are.
		lead := r.from
		for lead < r.to && (s.raw[lead] == '\r' || s.raw[lead] == '\n') {
			lead++
		}
		return slices.Concat(s.raw[:lead], line, s.raw[r.to:]), nil
	}
	return nil, fmt.Errorf("tags.csv has no tag %s", tag)
}
