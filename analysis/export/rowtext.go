package export

import (
	"bufio"
	"errors"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
)

// rowTexts puts the rows' own text beside readings that were set aside after their
// rows had been taken apart: as repeated, conflicting, or of a repeated hour. It
// reads the file once more, as far as the last of them; where that fails their
// time and number stand.
func (r *reader) rowTexts(t *table) {
	wanted := map[int][]*ledger.SetAside{}
	last := 0
	for _, why := range []ledger.Reason{ledger.Repeated, ledger.Conflicting, ledger.RepeatedHour, ledger.FarOff} {
		t.Aside[why].Trim()
		for i := range t.Aside[why].Rows {
			a := &t.Aside[why].Rows[i]
			if a.Line > 0 {
				wanted[a.Line] = append(wanted[a.Line], a)
				last = max(last, a.Line)
			}
		}
	}
	if last == 0 {
		return
	}
	rc, err := t.M.Open()
	if err != nil {
		return
	}
	defer rc.Close()
	in := bufio.NewReaderSize(record.Decoded(rc, t.F.EncodingKey()), 256<<10)
	for line := 1; line <= last; line++ {
		row, err := in.ReadSlice(t.F.Term)
		long := errors.Is(err, bufio.ErrBufferFull)
		for _, a := range wanted[line] {
			a.Text = t.F.RowText(row, a.Text)
		}
		for errors.Is(err, bufio.ErrBufferFull) {
			_, err = in.ReadSlice(t.F.Term)
		}
		if err != nil && !long {
			return
		}
	}
}
