package export

import (
	"fmt"
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/stamp"
)

// offsets says which clock counted where times carry an offset.
func (r *reader) offsets(t *table, l *stamp.DateLooks) {
	f := t.F
	if l.Offsets {
		span := stamp.InWords(l.OffLow)
		if l.OffTop != l.OffLow {
			span += " to " + stamp.InWords(l.OffTop)
		}
		f.Zone = fmt.Sprintf("their own offset (%s); %s where they carry none", span, f.Zone)
		if f.Time.ZoneStated && l.Odd.Word == "" && !(stamp.Keeps(f.Time.Clock.Loc, l.OffLow) && stamp.Keeps(f.Time.Clock.Loc, l.OffTop)) {
			r.message(ledger.Warning, t.M.Name, 0, fmt.Sprintf("the times carry an offset of their own (%s), which counts above time_zone of [[source]] in plant.toml", span))
		}
	}
	o := l.Odd
	if o.Word == "" {
		return
	}
	loc := f.Time.Clock.Loc
	_, is := f.Time.Names[o.Word]
	then := time.UnixMilli(o.At).In(loc)
	switch {
	case f.Time.ZoneStated:
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "time_zone"}, fmt.Sprintf("times carry %s where the clock of %s stands at %s (first on %s); they are taken on that clock, as time_zone under [[source]] in plant.toml says",
			o.Word, loc, stamp.InWords(int64(stamp.OffsetOf(then))), then.Format("2006-01-02")))
	case is:
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "time_zone"}, fmt.Sprintf("times carry %s also when the clock of %s stands at %s (first on %s); they are taken as printed, as %s. If %s is only a label and the clock follows %s, write time_zone = %q for the file under [[source]] in plant.toml",
			o.Word, loc, stamp.InWords(int64(stamp.OffsetOf(then))), then.Format("2006-01-02"), stamp.InWords(o.Off), o.Word, loc, loc.String()))
	case stamp.SharedNames[o.Word]:
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "time_zone"}, fmt.Sprintf("times carry %s, which several zones use and %s does not; it is taken as %s. Write time_zone for the file under [[source]] in plant.toml if another is meant", o.Word, loc, stamp.InWords(o.Off)))
	default:
		r.message(ledger.Note, t.M.Name, 0, fmt.Sprintf("times carry %s, taken as %s; the plant's clock is that of %s", o.Word, stamp.InWords(o.Off), loc))
	}
}
