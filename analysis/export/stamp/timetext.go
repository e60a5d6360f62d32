package stamp

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// Unwrapped takes off what spreadsheets put around a cell that is to stay text:
// ="2026-03-01 00:00" and '2026-03-01 00:00.
func Unwrapped(b []byte) []byte {
	switch {
	case len(b) > 3 && b[0] == '=' && b[1] == '"' && b[len(b)-1] == '"':
		return lex.Trim(b[2 : len(b)-1])
	case len(b) > 1 && b[0] == '\'':
		return lex.Trim(b[1:])
	case len(b) > 2 && b[0] == '[' && b[len(b)-1] == ']': // as logs write it
		return lex.Trim(b[1 : len(b)-1])
	}
	return b
}

// plainTime writes a time with blanks and signs of ASCII: no-break and narrow
// blanks, marks of writing direction, and the minus sign of word processors stand
// in times that programs wrote for the eye. Times of ASCII are given as they are.
func plainTime(b []byte) []byte {
	i := 0
	for i < len(b) && b[i] < 0x80 {
		i++
	}
	if i == len(b) || len(b) > 80 {
		return b
	}
	return lex.Narrow(bytes.TrimSpace([]byte(plainBlanks.Replace(record.DecodeText(b)))))
}

var plainBlanks = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2007", " ", "\u2009", " ", "\u2002", " ", "\u2003", " ", "\u3000", " ",
	"\u200e", "", "\u200f", "", "\u200b", "", "\ufeff", "", "\u2212", "-", "\u2013", "-")
