package rows

import (
	"bytes"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// The paths that nearly every row of a large export takes: hotlong.go and
// hotwide.go. They read rows whose cells are plain and mostly like those of the
// row before: the minute last met or another of its hour, the tag that followed
// last time, a quality met before. Each gives up without a trace at the first
// sign of anything else, and the row goes to longFast, wideFast or slow.

// hotTag is what the hot paths know of a tag.
type hotTag struct {
	word      lex.Word16 // its name as it stands, with the separators around it
	low, high float64    // strictly between: plain (see TagSpec.QuickLow)
	next      int32      // the tag that followed last time; -1: none yet
}

// hotQuality is a quality cell as it stands, with the separator before it and
// the line end behind it.
type hotQuality struct {
	word lex.Word16
	text string
	flag series.Flag
}

// timeAt reads the time cell at p, up to the byte end, in any way; n is 0 when it
// is none that stands once on the clock. What it learns counts only if the row
// is taken: see unlearn.
func (w *Worker) timeAt(buf []byte, p int, end byte) (ms int64, n int) {
	e := bytes.IndexByte(buf[p:min(p+64, len(buf))], end)
	if e <= 0 || bytes.IndexByte(buf[p:p+e], '\n') >= 0 {
		return 0, 0
	}
	ms, st, n := w.fastTime(buf[p : p+e])
	if n != e {
		ms, st = w.readTime(buf[p : p+e])
	}
	if st != stamp.TimeOK {
		return 0, 0
	}
	return ms, e
}

// fastTime and readTime read a time of a row that is not taken yet: see unlearn.
func (w *Worker) fastTime(b []byte) (ms int64, st stamp.TimeStatus, n int) {
	w.remember()
	return w.Time.Fast(b)
}

func (w *Worker) readTime(cell []byte) (ms int64, st stamp.TimeStatus) {
	w.remember()
	return w.Time.Read(cell)
}

// remember keeps what was known of the dates before the row.
func (w *Worker) remember() {
	if !w.learned {
		w.learned, w.before = true, w.Time.Dates
	}
}

// unlearn forgets the time of a row that is not taken. A damaged row's date, for
// one, says nothing about the order of day and month.
func (w *Worker) unlearn() {
	if w.learned {
		w.learned = false
		w.Time.Dates = w.before
		w.Time.Cell, w.Time.KeyOK, w.Time.Hot.Ok = w.Time.Cell[:0], false, false
	}
}
