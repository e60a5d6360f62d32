package export

// rowTime reads the row's time from its columns.
func (w *worker) rowTime() (int64, timeStatus) {
	get := func(i int) []byte {
		if i >= 0 && i < len(w.fields) {
			return w.fields[i]
		}
		return nil
	}
	w.join = w.f.times.join(w.join[:0], get)
	return w.tm.read(w.join)
}
