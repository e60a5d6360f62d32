package export

import "bytes"

// spelling is how the rows of a long file are written around their cells, as
// one of them shows it: which are quoted, and the line end.
type spelling struct {
	time, tag, value, quality bool // quoted
	cr                        bool // rows end in CR LF
}

const respellings = 1000 // a file that changes its ways more often is read the longer way

// spell takes a row's spelling on, if it is another one, for the words that the
// hot path compares.
func (w *worker) spell(row []byte, cr bool) {
	s := spelling{cr: cr}
	if bytes.IndexByte(row, '"') >= 0 {
		p := 0
		for k, op := range w.f.ops {
			sep := bytes.IndexByte(row[p:], w.f.sep)
			if p < len(row) && row[p] == '"' {
				e := bytes.IndexByte(row[p+1:], '"')
				if e < 0 {
					return
				}
				switch op {
				case roleTime:
					s.time = true
				case roleTag:
					s.tag = true
				case roleValue:
					s.value = true
				case roleQuality:
					s.quality = true
				}
				p += e + 2
				sep = bytes.IndexByte(row[p:], w.f.sep)
				if sep > 0 {
					return // something behind the closing quote
				}
			}
			if sep < 0 {
				if k < len(w.f.ops)-1 {
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
func (w *worker) beforeTag() []byte {
	var b []byte
	if w.f.rowOrder != tagTimeValue {
		b = append(quoteIf(b, w.spelling.time), w.f.sep)
	}
	return quoteIf(b, w.spelling.tag)
}

// afterTag is what stands between the name of a tag and the next cell's text.
func (w *worker) afterTag() []byte {
	b := append(quoteIf(nil, w.spelling.tag), w.f.sep)
	if w.f.rowOrder == tagTimeValue {
		return quoteIf(b, w.spelling.time)
	}
	return quoteIf(b, w.spelling.value)
}

func (w *worker) tagWord(name []byte) word16 {
	if len(name) == 0 {
		return word16{}
	}
	return makeWord(append(append(w.beforeTag(), name...), w.afterTag()...))
}

// spellGlue writes what stands around names and behind times.
func (w *worker) spellGlue() {
	w.beforeName, w.afterName = w.beforeTag(), w.afterTag()
	w.afterTime = makeWord(quoteIf(append(quoteIf(nil, w.spelling.time), w.f.sep), w.spelling.value))
}

// qualityWord is what follows the value: the quality, and the line end.
func (w *worker) qualityWord(text string) word16 {
	b := quoteIf(nil, w.spelling.value)
	if w.f.qualityCol >= 0 {
		b = quoteIf(append(b, w.f.sep), w.spelling.quality)
		b = quoteIf(append(b, text...), w.spelling.quality)
	}
	if w.spelling.cr {
		b = append(b, '\r')
	}
	return makeWord(append(b, '\n'))
}
