package record

import (
	"bytes"
	"encoding/binary"
	"strings"

	"weirbook/analysis/export/lex"
)

// IsBinary tells rows with bytes that no text holds.
func IsBinary(row []byte) bool {
	n := 0
	for len(row) > 0 {
		// Eight bytes of ' ' and above at once.
		if len(row) >= 8 {
			x := binary.LittleEndian.Uint64(row)
			if (x-0x2020202020202020)&^x&0x8080808080808080 == 0 {
				row = row[8:]
				continue
			}
		}
		c := row[0]
		row = row[1:]
		if c == 0 {
			return true
		}
		if c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != 0x0b && c != 0x0c {
			n++
		}
	}
	return n > 2
}

func SplitRow(row []byte, sep byte, fields [][]byte, arena []byte) ([][]byte, []byte) {
	if cap(arena) < len(row) && bytes.IndexByte(row, '"') >= 0 {
		arena = make([]byte, 0, len(row)+256) // cells keep pointing into it
	}
	if fields == nil {
		fields = make([][]byte, 0, bytes.Count(row, []byte{sep})+1)
	}
	for i := 0; ; {
		if i < len(row) && row[i] == '"' {
			start := len(arena)
			j := i + 1
			closed := false
			for j < len(row) {
				if row[j] == '"' {
					if j+1 < len(row) && row[j+1] == '"' {
						j++
					} else {
						closed = true
						j++
						break
					}
				}
				arena = append(arena, row[j])
				j++
			}
			if closed {
				for j < len(row) && row[j] != sep { // text behind the closing quote
					arena = append(arena, row[j])
					j++
				}
				fields = append(fields, arena[start:len(arena):len(arena)])
				if j == len(row) {
					return fields, arena
				}
				i = j + 1
				continue
			}
			arena = arena[:start]
		}
		n := bytes.IndexByte(row[i:], sep)
		if n < 0 {
			return append(fields, row[i:]), arena
		}
		fields = append(fields, row[i:i+n])
		i += n + 1
	}
}

func TrimmedWidth(fs [][]byte) int {
	n := len(fs)
	for n > 0 && len(lex.Trim(fs[n-1])) == 0 {
		n--
	}
	return n
}

func IsComment(b []byte) bool {
	return len(b) > 0 && (b[0] == '#' || b[0] == '!' || bytes.HasPrefix(b, []byte("//")))
}

// CleanName makes a name of a cell: decoded, on one line, blanks trimmed.
func CleanName(b []byte) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(DecodeText(lex.Trim(b)), "\u00a0", " ")), " ")
}
