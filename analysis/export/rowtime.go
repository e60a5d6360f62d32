package export

// rowTime reads the row's time from its columns.
func (w *worker) rowTime() (int64, timeStatus) {
	f := w.f
	get := func(i int) []byte {
		if i >= 0 && i < len(w.fields) {
			return w.fields[i]
		}
		return nil
	}
	w.join = joinTime(w.join[:0], f, get)
	return w.tm.read(w.join)
}

// joinTime writes the row's time as one cell, out of one or several columns.
func joinTime(dst []byte, f *format, get func(int) []byte) []byte {
	dst = joinParts(dst, f, get)
	if f.halfCol < 0 || len(dst) == 0 {
		return dst
	}
	half := trim(get(f.halfCol))
	if len(half) == 0 { // ten in the morning or in the evening
		return dst[:0]
	}
	dst = append(append(dst, ' '), half...)
	if len(half) == 1 {
		dst = append(dst, 'm')
	}
	return dst
}

func joinParts(dst []byte, f *format, get func(int) []byte) []byte {
	if f.timeCol >= 0 {
		return append(dst, get(f.timeCol)...)
	}
	if f.dateCol >= 0 {
		t := unwrapped(trim(get(f.dateCol)))
		if f.serialDate {
			dst = appendSerialDate(dst, t)
		} else {
			dst = appendDate(dst, t)
		}
	} else {
		for i, c := range f.ymd {
			x := trim(get(c))
			if i > 0 {
				dst = append(dst, '-')
				if len(x) == 1 {
					dst = append(dst, '0')
				}
			}
			dst = append(dst, x...)
		}
	}
	switch {
	case f.clockCol >= 0:
		t := unwrapped(trim(get(f.clockCol)))
		if len(t) == 0 && f.clockForm == clockPlain {
			return dst
		}
		dst = appendClock(append(dst, ' '), t, f.clockForm)
	case f.hourCol >= 0:
		h := trim(get(f.hourCol))
		if len(h) == 0 {
			return dst[:0]
		}
		dst = append(dst, ' ')
		if len(h) == 1 {
			dst = append(dst, '0')
		}
		dst = append(dst, h...)
		dst = append(dst, ':')
		m := trim(get(f.minuteCol))
		for i := len(m); i < 2; i++ {
			dst = append(dst, '0')
		}
		dst = append(dst, m...)
	}
	return dst
}
