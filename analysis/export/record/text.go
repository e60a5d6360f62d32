package record

import (
	"bytes"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// GuessEncoding names the text encoding of a file from its first bytes.
// "windows-1252" takes in Latin-1, of which it is the superset in use.
func GuessEncoding(head []byte) string {
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		return "utf-8"
	case bytes.HasPrefix(head, []byte("\xff\xfe")):
		return "utf-16le"
	case bytes.HasPrefix(head, []byte("\xfe\xff")):
		return "utf-16be"
	}
	// Without a mark, UTF-16 shows in ASCII digits and commas: every other byte
	// is zero.
	n := min(len(head), 4096) &^ 1
	var even, odd int
	for i := 0; i < n; i += 2 {
		if head[i] == 0 {
			even++
		}
		if head[i+1] == 0 {
			odd++
		}
	}
	if n >= 8 && odd > n/2*7/10 && even < odd/4 {
		return "utf-16le"
	}
	if n >= 8 && even > n/2*7/10 && odd < even/4 {
		return "utf-16be"
	}
	if validHead(head) {
		return "utf-8"
	}
	if looksShiftJIS(head) {
		return "shift-jis"
	}
	return "windows-1252"
}

// validHead is utf8.Valid for a text that may be cut within a character.
func validHead(b []byte) bool {
	for cut := 0; cut < 4 && cut <= len(b); cut++ {
		if utf8.Valid(b[:len(b)-cut]) {
			return true
		}
	}
	return false
}

// looksShiftJIS wants double-byte characters of the kana and common kanji rows,
// which Windows-1252 uses for rare punctuation, and no byte out of place.
func looksShiftJIS(b []byte) bool {
	pairs := 0
	for i := 0; i < len(b); i++ {
		c := b[i]
		switch {
		case c < 0x80 || c >= 0xa1 && c <= 0xdf:
		case c >= 0x81 && c <= 0x9f || c >= 0xe0 && c <= 0xfc:
			if i+1 == len(b) {
				break
			}
			t := b[i+1]
			if t < 0x40 || t == 0x7f || t > 0xfc {
				return false
			}
			if c <= 0x9f {
				pairs++
			}
			i++
		default:
			return false
		}
	}
	return pairs >= 2
}

// Decoded gives r as UTF-8 without a byte order mark. Windows-1252 is left as
// it is: its separators and digits are ASCII, and DecodeText reads its names.
func Decoded(r io.Reader, enc string) io.Reader {
	var e encoding.Encoding
	switch enc {
	case "utf-16le":
		e = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case "utf-16be":
		e = unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	case "shift-jis":
		e = japanese.ShiftJIS
	default:
		return &skipMark{r: r}
	}
	return transform.NewReader(r, e.NewDecoder())
}

// skipMark drops a UTF-8 byte order mark.
type skipMark struct {
	r    io.Reader
	done bool
}

func (s *skipMark) Read(p []byte) (int, error) {
	if s.done {
		return s.r.Read(p)
	}
	s.done = true
	var b [3]byte
	n, err := io.ReadFull(s.r, b[:])
	if n == 3 && b == [3]byte{0xef, 0xbb, 0xbf} {
		return s.r.Read(p)
	}
	if err == io.ErrUnexpectedEOF {
		err = nil
	}
	s.r = io.MultiReader(bytes.NewReader(append([]byte(nil), b[:n]...)), s.r)
	if n == 0 {
		return 0, err
	}
	return s.r.Read(p)
}

// DecodeText reads a name or unit: UTF-8, or else Windows-1252.
func DecodeText(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(b)
	if err != nil {
		return string(bytes.ToValidUTF8(b, []byte("\ufffd")))
	}
	return string(out)
}

// Shown is a row's text for set-aside.csv: decoded, on one line, cut at 200
// characters.
func Shown(b []byte) string {
	cut := false
	if len(b) > 400 {
		b, cut = b[:400], true
	}
	out := []rune(DecodeText(b))
	for i, r := range out {
		if r < ' ' || r == 0x7f {
			out[i] = ' '
		}
	}
	if len(out) > 200 {
		out, cut = out[:200], true
	}
	if cut {
		return string(out) + " …"
	}
	return string(out)
}
