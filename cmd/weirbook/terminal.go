package main

import (
	"bytes"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// terminal wraps sentences at the width of a window, between words. Tables and
// what is not a whole line pass as they are.
type terminal struct {
	f       *os.File
	colour  bool
	pending bool // a line has begun that was not ended
}

// onTerminal wraps a writer that is a terminal, and gives any other back as it is:
// pipes and files get what the program writes, byte for byte.
func onTerminal(w io.Writer) io.Writer {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return w
	}
	_, plain := os.LookupEnv("NO_COLOR")
	return &terminal{f: f, colour: !plain && os.Getenv("TERM") != "dumb"}
}

// asFile is the terminal behind a writer.
func asFile(w io.Writer) (*os.File, bool) {
	if t, ok := w.(*terminal); ok {
		return t.f, true
	}
	return nil, false
}

func (t *terminal) Write(p []byte) (int, error) {
	width, _, err := term.GetSize(int(t.f.Fd()))
	if err != nil || width < 20 {
		width = 80
	}
	var out bytes.Buffer
	for rest := p; len(rest) > 0; {
		line, after, ended := bytes.Cut(rest, []byte("\n"))
		switch {
		case !ended:
			out.Write(line)
		case t.pending:
			out.Write(line)
			out.WriteByte('\n')
		default:
			out.WriteString(t.shown(string(line), width))
			out.WriteByte('\n')
		}
		t.pending = !ended
		rest = after
	}
	if _, err := t.f.Write(out.Bytes()); err != nil {
		return 0, err
	}
	return len(p), nil
}

// shown is a line as the window shows it: wrapped, and its first word coloured
// where that says what sort of line it is.
func (t *terminal) shown(line string, width int) string {
	text := wrapWords(line, width)
	if !t.colour {
		return text
	}
	for word, code := range map[string]string{"weirbook: ": "31;1", "Report: ": "1", "Next: ": "1"} {
		if strings.HasPrefix(text, word) {
			return "\x1b[" + code + "m" + strings.TrimSuffix(word, " ") + "\x1b[0m " + text[len(word):]
		}
	}
	return text
}

// wrapWords breaks a sentence between words, further lines two columns in. A line
// with columns or without words to break at stays as it is.
func wrapWords(line string, width int) string {
	body := strings.TrimLeft(line, " ")
	indent := len(line) - len(body)
	if utf8.RuneCountInString(line) <= width || strings.Contains(strings.TrimRight(body, " "), "  ") {
		return line
	}
	var out strings.Builder
	out.WriteString(strings.Repeat(" ", indent))
	used := indent
	hang := strings.Repeat(" ", min(indent+2, width/2))
	for i, w := range strings.Split(body, " ") {
		n := utf8.RuneCountInString(w)
		switch {
		case i == 0:
		case used+1+n > width:
			out.WriteString("\n" + hang)
			used = len(hang)
		default:
			out.WriteByte(' ')
			used++
		}
		out.WriteString(w)
		used += n
	}
	return out.String()
}
