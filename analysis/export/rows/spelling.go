package rows

import (
	"bytes"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
)

// spelling is how the rows of a long file are written around their cells, as
// one of them shows it: which are quoted, and the line end.
type spelling struct {
	time, tag, value, quality bool // quoted
	cr                        bool // rows end in CR LF
}

const respellings = 1000 // a file that changes its ways more often is read the longer way

// spell takes a row's spelling on, if it is another one, for the words that the
// hot path compares.
func (w *Worker) spell(row []byte, cr bool) {
	s := spelling{cr: cr}
	if bytes.IndexByte(row, '"') >= 0 {
		p := 0
		for k, op := range w.f.Ops {
			sep := bytes.IndexByte(row[p:], w.f.Sep)
			if p < len(row) && row[p] == '"' {
				e := bytes.IndexByte(row[p+1:], '"')
				if e < 0 {
					return
				}
				switch op {
				case layout.RoleTime:
					s.time = true
				case layout.RoleTag:
					s.tag = true
				case layout.RoleValue:
					s.value = true
				case layout.RoleQuality:
					s.quality = true
				}
				p += e + 2
				sep = bytes.IndexByte(row[p:], w.f.Sep)
				if sep > 0 {
					return // something behind the closing quote
				}
			}
			if sep < 0 {
				if k < len(w.f.Ops)-1 {
					return
				}
				break
			}
			p += sep + 1
		}
	}
	if s == w.spelling || w.respelt == respellings {
		return
	}
	w.spelling = s
	w.respelt++
	w.spellGlue()
	for k := range w.tags {
		w.tags[k].word = w.tagWord(w.raw[k])
	}
	for k := range w.quals {
		w.quals[k].word = w.qualityWord(w.quals[k].text)
	}
}

func quoteIf(b []byte, quoted bool) []byte {
	if quoted {
		return append(b, '"')
	}
	return b
}

// beforeTag is what stands between the time, or the row's start, and the name
// of a tag.
func (w *Worker) beforeTag() []byte {
	var b []byte
	if w.f.RowOrder != layout.TagTimeValue {
		b = append(quoteIf(b, w.spelling.time), w.f.Sep)
	}
	return quoteIf(b, w.spelling.tag)
}

// afterTag is what stands between the name of a tag and the next cell's text.
func (w *Worker) afterTag() []byte {
	b := append(quoteIf(nil, w.spelling.tag), w.f.Sep)
	if w.f.RowOrder == layout.TagTimeValue {
		return quoteIf(b, w.spelling.time)
	}
	return quoteIf(b, w.spelling.value)
}

func (w *Worker) tagWord(name []byte) lex.Word16 {
	if len(name) == 0 {
		return lex.Word16{}
	}
	return lex.MakeWord(append(append(w.beforeTag(), name...), w.afterTag()...))
}

// spellGlue writes what stands around names and behind times.
func (w *Worker) spellGlue() {
	w.beforeName, w.afterName = w.beforeTag(), w.afterTag()
	w.afterTime = lex.MakeWord(quoteIf(append(quoteIf(nil, w.spelling.time), w.f.Sep), w.spelling.value))
}

// qualityWord is what follows the value: the quality, and the line end.
func (w *Worker) qualityWord(text string) lex.Word16 {
	b := quoteIf(nil, w.spelling.value)
	if w.f.QualityCol >= 0 {
		b = quoteIf(append(b, w.f.Sep), w.spelling.quality)
		b = quoteIf(append(b, text...), w.spelling.quality)
	}
	if w.spelling.cr {
		b = append(b, '\r')
	}
	return lex.MakeWord(append(b, '\n'))
}
