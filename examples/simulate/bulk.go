package simulate

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
)

// Bulk writes exports far larger than a month, fast, to measure reading with:
// 40 tags and a year of minutes are 525,600 wide rows or 21 million long ones.
// It simulates no plant: every tag is a daily wave with a random walk on top,
// within the usual span of what it measures. The same Bulk gives the same
// bytes.
type Bulk struct {
	Seed    uint64
	Start   time.Time // default 2025-01-01, written as it stands, UTC
	Minutes int
	Tags    int           // default 40
	Every   time.Duration // between rows; default a minute
}

// bulkKinds are repeated over the tags, a train number counting up.
var bulkKinds = []struct {
	letters, measures, at, unit string
	mean, wave, step            int64 // in units of the last digit
	decimals                    int
}{
	{"FIT", "flow", "basin_outlet", "MGD", 4200, 1300, 20, 3},
	{"AIT", "chlorine_total", "basin_outlet", "mg/L", 220, 25, 3, 2},
	{"ORP", "orp", "basin_outlet", "mV", 6650, 120, 15, 1},
	{"PHT", "ph", "basin_outlet", "pH", 710, 6, 1, 2},
	{"TIT", "temperature", "basin_outlet", "degC", 162, 8, 1, 1},
	{"NHT", "ammonia_n", "secondary", "mg/L", 12, 5, 1, 2},
	{"HYP", "hypochlorite_feed", "basin_inlet", "gal/h", 740, 220, 5, 2},
	{"SBS", "bisulfite_feed", "outfall", "gal/h", 155, 40, 3, 2},
}

func (b Bulk) defaults() Bulk {
	if b.Tags == 0 {
		b.Tags = 40
	}
	if b.Every == 0 {
		b.Every = time.Minute
	}
	if b.Start.IsZero() {
		b.Start = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	return b
}

// TagList describes the tags, without readings.
func (b Bulk) TagList() []Tag {
	b = b.defaults()
	var out []Tag
	for i := 0; i < b.Tags; i++ {
		k := bulkKinds[i%len(bulkKinds)]
		out = append(out, Tag{Name: fmt.Sprintf("T%d-%s-%d", i/len(bulkKinds)+1, k.letters, 101+i),
			Measures: k.measures, At: fmt.Sprintf("%s_%d", k.at, i/len(bulkKinds)+1), Unit: k.unit, Reading: "continuous", Decimals: k.decimals})
	}
	return out
}

// walk holds the running values.
type walk struct {
	now, off []int64
	wave     [1440]int64 // daily wave, thousandths
	state    uint64
}

func (b Bulk) walk() *walk {
	w := &walk{now: make([]int64, b.Tags), off: make([]int64, b.Tags), state: b.Seed*0x9e3779b97f4a7c15 + 1}
	for m := range w.wave {
		w.wave[m] = int64(math.Round(1000 * math.Sin(2*math.Pi*float64(m-540)/1440)))
	}
	return w
}

// next moves all tags on by a row. The random bits come from xorshift64*.
func (w *walk) next(minute int) {
	wave := w.wave[minute%1440]
	for i := range w.now {
		k := &bulkKinds[i%len(bulkKinds)]
		w.state ^= w.state >> 12
		w.state ^= w.state << 25
		w.state ^= w.state >> 27
		u := int64((w.state*0x2545f4914f6cdd1d)>>40) % (2*k.step + 1)
		w.off[i] += u - k.step - w.off[i]/64
		w.now[i] = max(0, k.mean+k.wave*wave/1000+w.off[i])
	}
}

// appendFixed writes v as a decimal with dec digits after the point.
func appendFixed(b []byte, v int64, dec int) []byte {
	var d [20]byte
	n := len(d)
	for i := 0; v > 0 || i <= dec; i++ {
		if i == dec && dec > 0 {
			n--
			d[n] = '.'
		}
		n--
		d[n] = byte('0' + v%10)
		v /= 10
	}
	return append(b, d[n:]...)
}

// rows calls row for every time step with its stamp.
func (b Bulk) rows(row func(stamp []byte, w *walk)) {
	w := b.walk()
	layout := "2006-01-02 15:04"
	if b.Every < time.Minute {
		layout = "2006-01-02 15:04:05"
	}
	var stamp []byte
	n := int(time.Duration(b.Minutes) * time.Minute / b.Every)
	for i := 0; i < n; i++ {
		t := b.Start.Add(time.Duration(i) * b.Every)
		stamp = t.AppendFormat(stamp[:0], layout)
		w.next(t.Hour()*60 + t.Minute())
		row(stamp, w)
	}
}

// WriteLong writes `timestamp,tag,value,quality`.
func (b Bulk) WriteLong(out io.Writer) error {
	b = b.defaults()
	bw := bufio.NewWriterSize(out, 1<<18)
	bw.WriteString("timestamp,tag,value,quality\n")
	tags := b.TagList()
	var line []byte
	b.rows(func(stamp []byte, w *walk) {
		line = line[:0]
		for i := range tags {
			line = append(line, stamp...)
			line = append(line, ',')
			line = append(line, tags[i].Name...)
			line = append(line, ',')
			line = appendFixed(line, w.now[i], tags[i].Decimals)
			line = append(line, ",good\n"...)
		}
		bw.Write(line)
	})
	return bw.Flush()
}

// WriteWide writes a heading row, a units row and a column per tag.
func (b Bulk) WriteWide(out io.Writer) error {
	b = b.defaults()
	bw := bufio.NewWriterSize(out, 1<<18)
	tags := b.TagList()
	line := []byte("timestamp")
	for _, t := range tags {
		line = append(line, ","+t.Name...)
	}
	line = append(line, '\n')
	for _, t := range tags {
		line = append(line, ","+t.Unit...)
	}
	line = append(line, '\n')
	bw.Write(line)
	b.rows(func(stamp []byte, w *walk) {
		line = append(line[:0], stamp...)
		for i := range tags {
			line = append(line, ',')
			line = appendFixed(line, w.now[i], tags[i].Decimals)
		}
		line = append(line, '\n')
		bw.Write(line)
	})
	return bw.Flush()
}

// WriteTags writes a tags.csv for the tags.
func (b Bulk) WriteTags(w io.Writer) error {
	_, err := io.WriteString(w, tagsCSV(b.TagList()))
	return err
}

// tagsCSV is the tag list of a plant description:
// tag,measures,at,unit,reading,low,high,note.
func tagsCSV(tags []Tag) string {
	out := "tag,measures,at,unit,reading,low,high,note,accuracy\n"
	for _, t := range tags {
		low, high := "", ""
		if t.High > t.Low {
			low = strconv.FormatFloat(t.Low, 'f', -1, 64)
			high = strconv.FormatFloat(t.High, 'f', -1, 64)
		}
		note := t.Note
		if note != "" {
			note = strconv.Quote(note)
		}
		out += fmt.Sprintf("%s,%s,%s,%s,%s,%s,%s,%s,%s\n", t.Name, t.Measures, t.At, t.Unit, t.Reading, low, high, note, statedAccuracy(t))
	}
	return out
}

// statedAccuracy is what the invented plant states for an instrument or a
// laboratory method, as makers and laboratories state it (common practice, no
// source): percent of reading, and a part in the tag's own unit.
func statedAccuracy(t Tag) string {
	grab := t.Reading == "grab"
	switch {
	case t.Measures == "flow":
		return "2 %"
	case strings.HasSuffix(t.Measures, "_feed"):
		return "3 %"
	case strings.HasPrefix(t.Measures, "chlorine_") && grab:
		return "5 % + 0.05"
	case strings.HasPrefix(t.Measures, "chlorine_"):
		return "4 % + 0.03"
	case t.Measures == "ammonia_n":
		return "5 % + 0.05"
	case t.Measures == "tss" || t.Measures == "bod5":
		return "15 %"
	case t.Measures == "ph":
		return "0.1"
	case t.Measures == "temperature":
		return "0.5"
	}
	return ""
}
