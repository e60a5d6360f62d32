package record

import (
	"bufio"
	"bytes"
	"io"
	"regexp"
)

// A laboratory's sheet may hold a block per day: a date alone on a line, a heading,
// and a row per result without a time. It is read as a table with the date before
// each row, line by line as it stands, so that places in the file stay what they are.

// dayLine is a line with a date and nothing else but a label and separators.
var dayLine = regexp.MustCompile(`(?i)^[\s,;\t"]*(?:(?:date|day|sampled|sample date|date sampled|collected|sampling date|datum|fecha)\s*[:,;\t"]*\s*)?[\s,;\t"]*` +
	`(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}|\d{1,2}[ -](?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[ -]\d{2,4}|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]* \d{1,2}, \d{4})` +
	`((?:[ T]\d{1,2}:\d{2}(?::\d{2})?)?)[\s,;\t"]*$`)

const dayBlocksHead = 32 << 10

// dayBlocks looks at a file's beginning for blocks of days. sep is 0 where it has
// none: two blocks at least, with the same heading below each date, and rows of as
// many fields below it.
func dayBlocks(head []byte) (heading []byte, sep byte) {
	var days, same int
	after := false
	for _, line := range bytes.Split(head, []byte("\n")) {
		line = bytes.TrimRight(line, "\r")
		switch {
		case len(bytes.Trim(line, " \t,;\"")) == 0:
		case dayLine.Match(line):
			if after {
				return nil, 0 // two dates below one another: a column of dates
			}
			days++
			after = true
		case after:
			if heading == nil {
				heading = bytes.Clone(line)
			} else if bytes.Equal(heading, line) {
				same++
			} else {
				return nil, 0
			}
			after = false
		}
	}
	if days < 2 || same < 1 {
		return nil, 0
	}
	for _, c := range []byte(",;\t|") {
		if n := bytes.Count(heading, []byte{c}); n > 0 && n > bytes.Count(heading, []byte{sep}) {
			sep = c
		}
	}
	return heading, sep
}

// openDayBlocks gives the file with the dates before the rows; the heading stands
// once, and the lines of dates and of further headings are blank.
func openDayBlocks(f File, heading []byte, sep byte) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		pr, pw := io.Pipe()
		go func() {
			pw.CloseWithError(rewriteDays(pw, r, heading, sep))
		}()
		return closers{pr, []io.Closer{pr, r}}, nil
	}
}

func rewriteDays(w io.Writer, r io.Reader, heading []byte, sep byte) error {
	in, out := bufio.NewReader(r), bufio.NewWriter(w)
	var day []byte
	headed := false
	for {
		line, err := in.ReadBytes('\n')
		bare := bytes.TrimRight(line, "\r\n")
		end := line[len(bare):]
		switch m := dayLine.FindSubmatch(bare); {
		case m != nil:
			day, bare = append(bytes.Clone(m[1]), m[2]...), nil
		case day == nil || len(bytes.Trim(bare, " \t,;\"")) == 0:
		case bytes.Equal(bare, heading) && headed:
			bare = nil
		case bytes.Equal(bare, heading):
			headed = true
			bare = append([]byte("Date"+string(sep)), bare...)
		default:
			bare = append(append(bytes.Clone(day), sep), bare...)
		}
		for _, b := range [][]byte{bare, end} {
			if _, err := out.Write(b); err != nil {
				return err
			}
		}
		if err != nil {
			if err == io.EOF {
				err = nil
			}
			if e := out.Flush(); e != nil {
				return e
			}
			return err
		}
	}
}
