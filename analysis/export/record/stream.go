package record

import (
	"bytes"
	"io"
)

// DecodedFrom is decoded from an offset of the decoded text on. mark says that
// the file begins with a byte order mark.
func DecodedFrom(rc io.Reader, enc string, offset int64, mark bool) (io.Reader, error) {
	if offset == 0 {
		return Decoded(Honest{rc}, enc), nil
	}
	if s, ok := rc.(io.Seeker); ok && (enc == "utf-8" || enc == "windows-1252") {
		at := offset
		if mark {
			at += 3
		}
		_, err := s.Seek(at, io.SeekStart)
		return Honest{rc}, err
	}
	s := Decoded(Honest{rc}, enc)
	_, err := io.CopyN(io.Discard, s, offset)
	return s, err
}

// SkipBytes reads so many lines and gives their length.
func SkipBytes(r io.Reader, lines int, term byte) (n int64) {
	buf := make([]byte, 64<<10)
	for lines > 0 {
		k, err := r.Read(buf)
		b := buf[:k]
		for lines > 0 {
			i := bytes.IndexByte(b, term)
			if i < 0 {
				n += int64(len(b))
				break
			}
			n += int64(i + 1)
			b = b[i+1:]
			lines--
		}
		if err != nil {
			break
		}
	}
	return n
}

// UntilLine ends a stream behind so many lines.
type UntilLine struct {
	R     io.Reader
	Lines int
	Term  byte
}

func (u *UntilLine) Read(p []byte) (int, error) {
	if u.Lines <= 0 {
		return 0, io.EOF
	}
	n, err := u.R.Read(p)
	b := p[:n]
	for at := 0; ; {
		i := bytes.IndexByte(b[at:], u.Term)
		if i < 0 {
			return n, err
		}
		at += i + 1
		if u.Lines--; u.Lines == 0 {
			return at, io.EOF
		}
	}
}

// SkipLines drops the first n lines.
func SkipLines(r io.Reader, n int, term byte) (io.Reader, int) {
	if n == 0 {
		return r, 0
	}
	buf := make([]byte, 0, 64<<10)
	tmp := make([]byte, 16<<10)
	seen, at := 0, 0
	for {
		k, err := r.Read(tmp)
		buf = append(buf, tmp[:k]...)
		for seen < n {
			i := bytes.IndexByte(buf[at:], term)
			if i < 0 {
				break
			}
			at += i + 1
			seen++
		}
		if seen == n || err != nil {
			return io.MultiReader(bytes.NewReader(buf[at:]), r), seen
		}
	}
}
