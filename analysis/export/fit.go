package export

import (
	"fmt"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
)

// misfits tells of rows that are longer than the heading, and of rows that are
// shorter where those are most.
func (r *reader) misfits(t *table) {
	rows := func(why ledger.Reason) int {
		n := t.Untagged.Aside[why]
		for _, k := range t.Tracks {
			switch {
			case k == nil:
			case t.F.Shape == layout.Long:
				n += k.Led.Aside[why]
			case t.F.Hourly: // and once for each hour of its day
				n += k.Led.Aside[why] / len(t.F.PairTimes)
			default: // a row counts once for each of its tags
				n = max(n, k.Led.Aside[why])
			}
		}
		return n
	}
	all, names := t.info.Rows, len(t.F.Cols)
	if n := rows(ledger.TooManyFields); n > 0 {
		text := fmt.Sprintf("%d of %d rows have more fields than the heading (%d), so that the columns are in doubt; they are set aside. ", n, all, names)
		if t.F.Sep == ',' {
			text += "Probably numbers are written with a comma (decimal 2,22 or thousands 1,250), which also separates the fields: export with semicolons or tabs between the fields, with decimal points, or with such numbers in quotes"
		} else {
			text += "Export again with a name for every column, and without the separator within cells"
		}
		r.message(ledger.Error, t.M.Name, t.From+t.F.Skip, text)
	}
	if n := rows(ledger.CutShort); n*2 > all {
		r.message(ledger.Error, t.M.Name, t.From+t.F.Skip, fmt.Sprintf("%d of %d rows have fewer fields than the heading (%d), so that it is not known which columns they lack; they are set aside. Export again with a separator for every column", n, all, names))
	}
}
