package export

import (
	"bufio"
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/quantity"
)

// The benchmarks read invented exports of 40 tags. Their full size, a year of
// minutes (21 million rows, 0.9 GB long; 525,600 rows, 131 MB wide), is
//
//	go test -run xxx -bench . -benchtime 3x -export.days 365 ./analysis/export
//
// Files are written once to -export.dir and read from the page cache.
var (
	benchDays = flag.Int("export.days", 20, "days of minutes in the benchmarks' exports")
	benchDir  = flag.String("export.dir", os.TempDir(), "where the benchmarks keep their exports")
)

const benchTags = 40

// level is the invented signal of a tag: smooth, with a daily swing.
func level(tag, i int) float64 {
	x := 600 + 10*float64(tag) + 80*math.Sin(float64(i)/229+float64(tag)) + 5*math.Sin(float64(i)/7)
	return math.Round(x*100) / 100
}

func tagName(i int) string { return fmt.Sprintf("AIT-%03d", 100+i) }

func writeLong(w *bufio.Writer, days int) {
	w.WriteString("timestamp,tag,value,quality\n")
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	var num []byte
	for i := 0; i < days*1440; i++ {
		ts := start.Add(time.Duration(i) * time.Minute).Format("2006-01-02 15:04:05")
		for k := 0; k < benchTags; k++ {
			w.WriteString(ts)
			w.WriteByte(',')
			w.WriteString(tagName(k))
			w.WriteByte(',')
			num = strconv.AppendFloat(num[:0], level(k, i), 'f', 2, 64)
			w.Write(num)
			if i%997 == 3 {
				w.WriteString(",Bad\n")
			} else {
				w.WriteString(",Good\n")
			}
		}
	}
}

func writeWide(w *bufio.Writer, days, stepSeconds int) {
	w.WriteString("timestamp")
	for k := 0; k < benchTags; k++ {
		w.WriteString("," + tagName(k))
	}
	w.WriteByte('\n')
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	var num []byte
	for i := 0; i < days*86400/stepSeconds; i++ {
		w.WriteString(start.Add(time.Duration(i*stepSeconds) * time.Second).Format("2006-01-02 15:04:05"))
		for k := 0; k < benchTags; k++ {
			w.WriteByte(',')
			num = strconv.AppendFloat(num[:0], math.Round(level(k, i)*10)/10, 'f', 1, 64)
			w.Write(num)
		}
		w.WriteByte('\n')
	}
}

// dice is an invented chance for a tag's reading, the same in every run: 0 to 9999.
func dice(tag, i int) int {
	x := uint64(tag)*0x9e3779b97f4a7c15 + uint64(i)*0xbf58476d1ce4e5b9
	x ^= x >> 29
	x *= 0x94d049bb133111eb
	return int(x >> 33 % 10000)
}

// plantCell is what a plant's system writes for a tag at a minute: of 10000 readings 50
// are missing and 10 are words; every eighth tag is stored when it changes, some six
// times an hour.
func plantCell(tag, i int) (text string, quality string, ok bool) {
	d := dice(tag, i)
	switch {
	case tag%8 == 7 && d > 1000 || d < 50:
		return "", "", false
	case d < 60:
		return "No Data", "Bad", true
	case d < 160:
		quality = "Uncertain"
	default:
		quality = "Good"
	}
	return strconv.FormatFloat(level(tag, i), 'f', 2, 64), quality, true
}

func writeLongGaps(w *bufio.Writer, days int) {
	w.WriteString("timestamp,tag,value,quality\n")
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < days*1440; i++ {
		ts := start.Add(time.Duration(i) * time.Minute).Format("2006-01-02 15:04:05")
		for k := 0; k < benchTags; k++ {
			if v, q, ok := plantCell(k, i); ok {
				w.WriteString(ts + "," + tagName(k) + "," + v + "," + q + "\n")
			}
		}
	}
}

// writeWideGaps leaves out one row in two hundred as a whole; a tag that has no reading
// has a blank.
func writeWideGaps(w *bufio.Writer, days int) {
	w.WriteString("timestamp")
	for k := 0; k < benchTags; k++ {
		w.WriteString("," + tagName(k))
	}
	w.WriteByte('\n')
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < days*1440; i++ {
		if dice(99, i) < 50 {
			continue
		}
		w.WriteString(start.Add(time.Duration(i) * time.Minute).Format("2006-01-02 15:04:05"))
		for k := 0; k < benchTags; k++ {
			v, _, _ := plantCell(k, i)
			w.WriteString("," + v)
		}
		w.WriteByte('\n')
	}
}

func benchFile(b testing.TB, name string, write func(*bufio.Writer)) record.File {
	p := filepath.Join(*benchDir, fmt.Sprintf("weirbook-bench-%s-%dd.csv", name, *benchDays))
	st, err := os.Stat(p)
	if err != nil {
		f, err := os.Create(p)
		if err != nil {
			b.Fatal(err)
		}
		w := bufio.NewWriterSize(f, 1<<20)
		write(w)
		w.Flush()
		f.Close()
		st, _ = os.Stat(p)
	}
	return record.File{Name: filepath.Base(p), Size: st.Size(), Open: func() (io.ReadCloser, error) { return os.Open(p) }}
}

func benchRules() map[string]rule.TagRule {
	rules := map[string]rule.TagRule{}
	for k := 0; k < benchTags; k++ {
		rules[tagName(k)] = rule.TagRule{Kind: quantity.ORP, Unit: quantity.MustUnit("mV"), HasUnit: true, Low: 0, High: 1100}
	}
	return rules
}

func benchRead(b *testing.B, f record.File, opt Options) {
	var rows int
	b.SetBytes(f.Size)
	b.ReportAllocs()
	for i := 0; i < b.N; i++ {
		r, err := Read(context.Background(), []record.File{f}, opt)
		if err != nil {
			b.Fatal(err)
		}
		rows = 0
		for _, l := range r.Ledger {
			if !l.AddsUp() {
				b.Fatal("the ledger does not add up")
			}
			rows += l.Used
		}
	}
	b.ReportMetric(float64(rows)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mreadings/s")
}

func BenchmarkLong(b *testing.B) {
	f := benchFile(b, "long", func(w *bufio.Writer) { writeLong(w, *benchDays) })
	b.ResetTimer()
	benchRead(b, f, Options{Rules: benchRules()})
}

func BenchmarkWide(b *testing.B) {
	f := benchFile(b, "wide", func(w *bufio.Writer) { writeWide(w, *benchDays, 60) })
	b.ResetTimer()
	benchRead(b, f, Options{Rules: benchRules()})
}

// BenchmarkLines is what counting the lines of the long file costs in the same
// blocks: the floor.
// The same as a plant's system writes it, with readings missing, words, and tags that are
// stored when they change.
func BenchmarkLongGaps(b *testing.B) {
	benchRead(b, benchFile(b, "long-gaps", func(w *bufio.Writer) { writeLongGaps(w, *benchDays) }), Options{Rules: benchRules()})
}

func BenchmarkWideGaps(b *testing.B) {
	benchRead(b, benchFile(b, "wide-gaps", func(w *bufio.Writer) { writeWideGaps(w, *benchDays) }), Options{Rules: benchRules()})
}

func BenchmarkLines(b *testing.B) {
	f := benchFile(b, "long", func(w *bufio.Writer) { writeLong(w, *benchDays) })
	b.SetBytes(f.Size)
	b.ResetTimer()
	buf := make([]byte, 256<<10)
	for i := 0; i < b.N; i++ {
		r, _ := f.Open()
		n := 0
		for {
			k, err := r.Read(buf)
			n += bytes.Count(buf[:k], []byte{'\n'})
			if err != nil {
				break
			}
		}
		r.Close()
	}
}

func BenchmarkNumber(b *testing.B) {
	in := []byte("645.27")
	b.SetBytes(int64(len(in)))
	for i := 0; i < b.N; i++ {
		lex.ParseNumber(in, '.')
	}
}

// BenchmarkSeconds reads a wide file at one second: seven days of it with
// -export.days 7. Its memory is to be that of the same days at one minute, plus
// the blocks on their way.
func BenchmarkSeconds(b *testing.B) {
	f := benchFile(b, "seconds", func(w *bufio.Writer) { writeWide(w, *benchDays, 1) })
	b.ResetTimer()
	benchRead(b, f, Options{Rules: benchRules()})
}

// BenchmarkSniff is what recognising a file costs: it counts where a year comes
// in daily files.
func BenchmarkSniff(b *testing.B) {
	var buf bytes.Buffer
	w := bufio.NewWriter(&buf)
	writeWide(w, 1, 60)
	w.Flush()
	b.ReportAllocs()
	for i := 0; i < b.N; i++ {
		if _, err := layout.Sniff(buf.Bytes()[:sample.SniffBytes], false, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkOrders reads the long file in other orders of its rows.
func BenchmarkOrders(b *testing.B) {
	var buf bytes.Buffer
	w := bufio.NewWriter(&buf)
	writeLong(w, *benchDays)
	w.Flush()
	head, body, _ := bytes.Cut(buf.Bytes(), []byte{'\n'})
	rows := slices.Collect(bytes.Lines(body))
	tag := func(row []byte) []byte { return row[len("2026-01-01 00:00:00,"):][:len("AIT-100")] }
	for _, o := range []struct {
		name string
		sort func()
	}{
		{"oldest-first", func() {}},
		{"newest-first", func() { slices.Reverse(rows) }},
		{"tag-by-tag", func() {
			slices.Reverse(rows)
			slices.SortStableFunc(rows, func(a, b []byte) int { return bytes.Compare(tag(a), tag(b)) })
		}},
		{"shuffled", func() {
			rand.New(rand.NewSource(1)).Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		}},
	} {
		o.sort()
		b.Run(o.name, func(b *testing.B) {
			text := append(append(bytes.Clone(head), '\n'), bytes.Join(rows, nil)...)
			b.ResetTimer()
			benchRead(b, memFile("f.csv", text), Options{Rules: benchRules()})
		})
	}
}

// BenchmarkShapes reads files as other systems would write them: what the paths
// for plain rows do not take, or take with more work, is slower.
func BenchmarkShapes(b *testing.B) {
	shapes := []struct {
		name, head string
		row        func(dst []byte, at time.Time, tag string, v float64, q string) []byte
	}{
		{"time-tag-value-quality", "timestamp,tag,value,quality\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "%s,%s,%.2f,%s\n", at.Format("2006-01-02 15:04:05"), tag, v, q)
		}},
		{"tag-time-value", "tag,timestamp,value\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "%s,%s,%.2f\n", tag, at.Format("2006-01-02T15:04:05Z"), v)
		}},
		{"single-precision", "timestamp,tag,value,quality\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "%s,%s,%v,%s\n", at.Format("2006-01-02 15:04:05"), tag, float64(float32(v*1.0001)), q)
		}},
		{"month-first", "timestamp,tag,value,quality\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "%s,%s,%.2f,%s\n", at.Format("1/2/2006 3:04:05 PM"), tag, v, q)
		}},
		{"decimal-comma", "Zeit;Messstelle;Wert;Status\r\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			n := len(d)
			d = fmt.Appendf(d, "%s;%s;%.2f;%s\r\n", at.Format("02.01.2006 15:04"), tag, v, q)
			if i := bytes.LastIndexByte(d[n+20:], '.'); i >= 0 {
				d[n+20+i] = ','
			}
			return d
		}},
		{"quoted", "\"timestamp\",\"tag\",\"value\",\"quality\"\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "\"%s\",\"%s\",\"%.2f\",\"%s\"\n", at.Format("2006-01-02 15:04:05"), tag, v, q)
		}},
		{"unit-column", "timestamp,tag,value,unit,quality\n", func(d []byte, at time.Time, tag string, v float64, q string) []byte {
			return fmt.Appendf(d, "%s,%s,%.2f,mV,%s\n", at.Format("2006-01-02 15:04:05"), tag, v, q)
		}},
	}
	wide := []struct {
		name, head string
		cell       func(d []byte, i, k int) []byte
	}{
		{"wide", ",%s", func(d []byte, i, k int) []byte { return fmt.Appendf(d, ",%.1f", level(k, i)) }},
		{"wide-with-quality", ",%s,quality", func(d []byte, i, k int) []byte { return fmt.Appendf(d, ",%.1f,Good", level(k, i)) }},
		{"wide-quoted", ",%q", func(d []byte, i, k int) []byte { return fmt.Appendf(d, ",\"%.1f\"", level(k, i)) }},
		{"wide-every-quarter-hour", ",%s", func(d []byte, i, k int) []byte {
			if k%2 == 1 && i%15 != 0 {
				return append(d, ',')
			}
			return fmt.Appendf(d, ",%.1f", level(k, i))
		}},
		{"wide-no-data", ",%s", func(d []byte, i, k int) []byte {
			if (i+k)%50 == 0 {
				return append(d, ",No Data"...)
			}
			return fmt.Appendf(d, ",%.1f", level(k, i))
		}},
	}
	for _, s := range wide {
		b.Run(s.name, func(b *testing.B) {
			buf := []byte("timestamp")
			for k := 0; k < benchTags; k++ {
				buf = fmt.Appendf(buf, s.head, tagName(k))
			}
			buf = append(buf, '\n')
			start := time.Date(2026, 1, 14, 0, 0, 0, 0, time.UTC)
			for i := 0; i < 10*1440; i++ {
				stamp := start.Add(time.Duration(i) * time.Minute).Format("2006-01-02 15:04:05")
				if strings.Contains(s.head, "q") && !strings.Contains(s.head, "quality") {
					stamp = "\"" + stamp + "\""
				}
				buf = append(buf, stamp...)
				for k := 0; k < benchTags; k++ {
					buf = s.cell(buf, i, k)
				}
				buf = append(buf, '\n')
			}
			b.ResetTimer()
			benchRead(b, memFile("f.csv", buf), Options{Rules: benchRules()})
		})
	}
	for _, s := range shapes {
		b.Run(s.name, func(b *testing.B) {
			buf := []byte(s.head)
			start := time.Date(2026, 1, 14, 0, 0, 0, 0, time.UTC)
			for i := 0; i < 3*1440; i++ {
				for k := 0; k < benchTags; k++ {
					q := "Good"
					if i%997 == 3 {
						q = "Bad"
					}
					buf = s.row(buf, start.Add(time.Duration(i)*time.Minute), tagName(k), level(k, i), q)
				}
			}
			b.ResetTimer()
			benchRead(b, memFile("f.csv", buf), Options{Rules: benchRules()})
		})
	}
}
