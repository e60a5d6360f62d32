package export

import (
	"bufio"
	"errors"
	"strings"
)

// rowTexts puts the rows' own text beside readings that were set aside after their
// rows had been taken apart: as repeated, conflicting, or of a repeated hour. It
// reads the file once more, as far as the last of them; where that fails their
// time and number stand.
func (r *reader) rowTexts(t *table) {
	wanted := map[int][]*SetAside{}
	last := 0
	for _, why := range []Reason{Repeated, Conflicting, RepeatedHour} {
		t.aside[why].trim()
		for i := range t.aside[why].rows {
			a := &t.aside[why].rows[i]
			if a.Line > 0 {
				wanted[a.Line] = append(wanted[a.Line], a)
				last = max(last, a.Line)
			}
		}
	}
	if last == 0 {
		return
	}
	rc, err := t.m.open()
	if err != nil {
		return
	}
	defer rc.Close()
	in := bufio.NewReaderSize(decoded(rc, t.f.encodingKey()), 256<<10)
	for line := 1; line <= last; line++ {
		row, err := in.ReadSlice(t.f.term)
		long := errors.Is(err, bufio.ErrBufferFull)
		for _, a := range wanted[line] {
			a.Text = t.f.rowText(row, a.Text)
		}
		for errors.Is(err, bufio.ErrBufferFull) {
			_, err = in.ReadSlice(t.f.term)
		}
		if err != nil && !long {
			return
		}
	}
}

// rowText is the text of a long file's row; of a wide one, whose rows hold other
// tags as well, its time as it stands and the number.
func (f *format) rowText(row []byte, was string) string {
	row = trim(row)
	if f.layout == long {
		return shown(row)
	}
	fs, _ := splitRow(row, f.sep, nil, nil)
	at := f.times.join(nil, func(i int) []byte {
		if i >= 0 && i < len(fs) {
			return fs[i]
		}
		return nil
	})
	_, number, _ := strings.Cut(was, " ")
	return shown(trim(at)) + ", " + number
}
