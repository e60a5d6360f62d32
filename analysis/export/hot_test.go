package export

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/quantity"
)

// A file is read alike by the paths for plain rows and by the one for rows of any
// shape, which the others leave out or which a quoted time asks for. The files
// are plain throughout but for what is sprinkled over them: other qualities,
// unknown tags, broken numbers, times that step back, another line end.
func TestPlainRowsReadAlike(t *testing.T) {
	loc, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	plain := 0
	seeds := int64(200)
	if testing.Short() {
		seeds = 50
	}
	for seed := int64(0); seed < seeds; seed++ {
		r := rand.New(rand.NewSource(seed))
		b, wide := plainFile(r)
		opt := Options{Zone: loc, Looks: r.Intn(2) == 0}
		if r.Intn(3) > 0 {
			opt.Rules = map[string]rule.TagRule{}
			for k := 0; k < 9; k++ {
				tagRule := rule.TagRule{Kind: quantity.ORP, Unit: quantity.MustUnit("mV"), HasUnit: true, Low: -200, High: 1100}
				if k%4 == 3 {
					tagRule = rule.TagRule{Kind: quantity.Flow, Unit: quantity.MustUnit("gpm"), HasUnit: true}
				}
				opt.Rules[plainTag(k)] = tagRule
			}
		}
		if r.Intn(4) == 0 {
			opt.From = time.Date(2026, 3, 8, 8, 10, 30, 0, time.UTC)
			opt.To = opt.From.Add(45 * time.Minute)
		}
		read := func(b string, block int, longWay bool) *Result {
			opt := opt
			opt.BlockSize, opt.Workers, opt.longWay = block, 1+r.Intn(3), longWay
			res, err := Read(context.Background(), []record.File{memFile("f.csv", []byte(b))}, opt)
			require.NoError(t, err)
			checkLedger(t, res)
			return res
		}
		want := read(b, 100, true)
		for _, block := range []int{0, 50, 700, 3000} {
			require.Equal(t, printed(want), printed(read(b, block, false)), "seed %d\n%s", seed, b[:min(len(b), 1500)])
		}
		if !wide && !strings.Contains(b, `"`) { // quoted cells say the same
			var q strings.Builder
			for i, line := range strings.SplitAfter(b, "\n") {
				c := strings.Index(line, ",")
				if i == 0 || c <= 0 {
					q.WriteString(line)
					continue
				}
				q.WriteString(`"` + line[:c] + `"` + line[c:])
			}
			got := read(q.String(), 0, false)
			require.Equal(t, want.Ledger, got.Ledger, "seed %d", seed)
			require.Equal(t, len(want.Series), len(got.Series))
			for k, s := range want.Series {
				require.Equal(t, fmt.Sprintf("%v %x %v", s.T, s.V, s.F), fmt.Sprintf("%v %x %v", got.Series[k].T, got.Series[k].V, got.Series[k].F), "seed %d %s", seed, k)
			}
			plain++
		}
	}
	require.Greater(t, plain, int(seeds/8))
}

func plainTag(k int) string {
	return []string{"A1", "AIT-101", "Ridge End/CCB 2/ORP 7", "FIT_9", "ALDER.FLATS.CONTACT_BASIN.OUTLET.AIT-424.MEASURED_VALUE.PV", "x", "NH3.7", "Level 4", "Z"}[k]
}

// plainFile writes a file whose rows are nearly all plain.
func plainFile(r *rand.Rand) (text string, wide bool) {
	var b strings.Builder
	style := r.Intn(6)
	stamp := func(at time.Time) string {
		switch style {
		case 0:
			return at.Format("2006-01-02 15:04")
		case 1:
			return at.Format("2006-01-02 15:04:05")
		case 2:
			return at.UTC().Format("2006-01-02T15:04:05Z")
		case 3:
			return at.Format("2006-01-02T15:04:05.000-07:00")
		case 4:
			return at.Format("01/02/2006 15:04:05")
		}
		return at.Format("2006-01-02 15:04:05.000")
	}
	loc, _ := time.LoadLocation("America/Denver")
	// Over the hour that is skipped or repeated, or over a year's end.
	start := []time.Time{time.Date(2026, 3, 8, 8, 0, 0, 0, time.UTC), time.Date(2026, 11, 1, 6, 20, 0, 0, time.UTC), time.Date(2026, 1, 1, 6, 30, 0, 0, time.UTC)}[r.Intn(3)]
	step := time.Duration([]int{60, 60, 20, 300}[r.Intn(4)]) * time.Second
	eol := []string{"\n", "\r\n"}[r.Intn(2)]
	number := func() string {
		switch r.Intn(24) {
		case 0:
			return fmt.Sprint(r.Intn(2000) - 400)
		case 1:
			return fmt.Sprintf("%.*f", 1+r.Intn(20), (r.Float64()-.1)*900)
		case 2:
			return []string{"0", "-0", "0.0", "-9999", "7999", "1e3", ".5", "5.", "007", "12345678", "1234567.8", "-1.25", "- 3", "--1", "1.2.3", "", "Bad", "3 mV", "<0.5"}[r.Intn(19)]
		}
		return fmt.Sprintf("%.*f", r.Intn(4), 600+r.Float64()*99)
	}
	tags := 2 + r.Intn(7)
	at := func(i int) time.Time {
		x := start.Add(time.Duration(i) * step)
		if r.Intn(200) == 0 {
			x = x.Add(-time.Duration(r.Intn(90)) * time.Minute)
		}
		if style != 2 {
			x = x.In(loc)
		}
		return x
	}
	if r.Intn(2) == 0 {
		paired := r.Intn(3) == 0
		b.WriteString("timestamp")
		for k := 0; k < tags; k++ {
			b.WriteString("," + plainTag(k))
			if paired {
				b.WriteString(",quality")
			}
		}
		b.WriteString(eol)
		quoted := r.Intn(3) == 0
		cell := func(s string) string {
			if quoted && (s != "" || r.Intn(2) == 0) != (r.Intn(200) == 0) {
				return `"` + s + `"`
			}
			return s
		}
		for i := 0; i < 150; i++ {
			b.WriteString(cell(stamp(at(i))))
			for k := 0; k < tags; k++ {
				b.WriteString("," + cell(number()))
				if paired {
					q := "Good"
					if r.Intn(40) == 0 {
						q = []string{"Bad", "", "Uncertain", "good", "192", "GoodLocalOverride"}[r.Intn(6)]
					}
					b.WriteString("," + cell(q))
				}
			}
			b.WriteString(eol)
		}
		return b.String(), true
	}
	order := r.Intn(3)
	quality := []string{"Good", "Good", "Good", "Bad", "Uncertain", "Questionable", ""}
	withQ := r.Intn(3) > 0
	quoted, ways := [4]bool{}, r.Intn(2) == 0
	if ways {
		for k := range quoted {
			quoted[k] = r.Intn(2) == 0
		}
	}
	b.WriteString([]string{"timestamp,tag,value", "tag,timestamp,value", "value,tag,timestamp"}[order])
	if withQ {
		b.WriteString(",quality")
	}
	b.WriteString(eol)
	for i := 0; i < 120; i++ {
		t := at(i)
		for k := 0; k < tags; k++ {
			name := plainTag(k)
			if r.Intn(60) == 0 {
				name = []string{"never.heard", "", " " + name, name + " "}[r.Intn(4)]
			}
			cells := [][]string{{stamp(t), name, number()}, {name, stamp(t), number()}, {number(), name, stamp(t)}}[order]
			if withQ {
				q := quality[0]
				if r.Intn(15) == 0 {
					q = quality[r.Intn(len(quality))]
				}
				cells = append(cells, q)
			}
			for k := range cells {
				if quoted[k] != (ways && r.Intn(150) == 0) {
					cells[k] = `"` + cells[k] + `"`
				}
			}
			if r.Intn(80) == 0 && k > 0 { // the tags take turns in another order
				continue
			}
			b.WriteString(strings.Join(cells, ","))
			if r.Intn(300) == 0 {
				b.WriteString(",")
			}
			if r.Intn(300) == 0 {
				b.WriteString("\n")
				continue
			}
			b.WriteString(eol)
		}
	}
	return b.String(), false
}

// Names, times and numbers as long as the hot paths take them, and longer, at the
// very end of a file.
func TestPlainRowsToTheLastByte(t *testing.T) {
	all, long, step := 0, 0, 9
	if testing.Short() {
		step = 29
	}
	for name := 1; name < 130; name += 16 {
		for pad := 1; pad < 50; pad += 11 {
			for digits := 1; digits < 60; digits += step {
				tag := strings.Repeat("N", name)
				at := "2026-03-25 06:00:00." + strings.Repeat("0", pad)
				num := "1." + strings.Repeat("5", digits)
				for _, row := range []string{tag + "," + at + "," + num + ",Good\n", at + "," + tag + "," + num + ",Good\n", `"` + at + `","` + tag + `","` + num + `","Good"` + "\n"} {
					head := "tag,time,value,quality\n"
					if !strings.HasPrefix(row, "N") {
						head = "time,tag,value,quality\n"
					}
					text := head + row + strings.ReplaceAll(row, "06:00:", "06:01:") + strings.TrimSuffix(strings.ReplaceAll(row, "06:00:", "06:02:"), "\n")
					for _, end := range []string{"", "\n"} {
						want := readAll(t, Options{longWay: true}, memFile("f.csv", []byte(text+end)))
						got := readAll(t, Options{}, memFile("f.csv", []byte(text+end)))
						require.Equal(t, printed(want), printed(got), text)
						for _, s := range got.Series {
							long += s.Len()
						}
						all += 3
					}
				}
			}
		}
	}
	require.Greater(t, long, all*9/10)
}

// Plain rows take the paths for plain rows: only a tag's first row, a quality's
// first and the first row of all make a detour, however the file is spelt. A path
// that no row takes would still read alike.
func TestPlainRowsTakeTheHotPaths(t *testing.T) {
	const tags, minutes = 7, 200 // over three hours
	quote := func(s string) string { return `"` + s + `"` }
	same := func(s string) string { return s }
	for _, c := range []struct {
		name, sep, eol, stamp string
		order                 string // of time, tag, value, quality; wide: v for value, q for quality
		spell                 func(string) string
		detours               int
	}{
		{"long", ",", "\n", "2006-01-02 15:04:05", "tgvq", same, tags + 2},
		{"long, no seconds, CR LF", ";", "\r\n", "2006-01-02 15:04", "tgvq", same, tags + 2},
		{"long, UTC, tag first", ",", "\n", "2006-01-02T15:04:05Z", "gtv", same, tags + 2},
		{"long, months first", ",", "\n", "1/2/2006 3:04:05 PM", "tgvq", same, tags + 2},
		{"long, quoted", ",", "\n", "2006-01-02 15:04:05.000", "tgvq", quote, tags + 2},
		{"wide", ",", "\n", "2006-01-02 15:04", "tv", same, 1},
		{"wide, quoted", ",", "\r\n", "2006-01-02 15:04:05", "tv", quote, 1},
		{"wide, with quality", "\t", "\n", "2006-01-02 15:04", "tvq", same, 1},
	} {
		long := strings.Contains(c.order, "g")
		var b strings.Builder
		cells := func(x []string) { b.WriteString(strings.Join(x, c.sep) + c.eol) }
		head, words := []string{}, map[rune]string{'t': "timestamp", 'g': "tag", 'v': "value", 'q': "quality"}
		for _, o := range c.order {
			head = append(head, words[o])
		}
		if !long {
			head = head[:1]
			for k := 0; k < tags; k++ {
				head = append(head, plainTag(k))
				if strings.HasSuffix(c.order, "q") {
					head = append(head, "quality")
				}
			}
		}
		cells(head)
		for i := 0; i < minutes; i++ {
			at := time.Date(2026, 3, 25, 6, 13+i, 0, 0, time.UTC)
			row := []string{c.spell(at.Format(c.stamp))}
			for k := 0; k < tags; k++ {
				value, good := c.spell(fmt.Sprintf("%.2f", 600+float64((i*7+k)%90)/8)), "Good"
				if !long {
					if row = append(row, value); strings.HasSuffix(c.order, "q") {
						row = append(row, c.spell(good))
					}
					continue
				}
				if i == 99 {
					good = "Bad"
				}
				var x []string
				for _, o := range c.order {
					x = append(x, map[rune]string{'t': row[0], 'g': c.spell(plainTag(k)), 'v': value, 'q': c.spell(good)}[o])
				}
				cells(x)
			}
			if !long {
				cells(row)
			}
		}
		text := []byte(b.String())
		f, err := layout.Sniff(text, true, nil)
		require.NoError(t, err, c.name)
		require.Equal(t, long, f.RowOrder != layout.AnyOrder, c.name)
		require.Equal(t, !long, f.Step > 0, c.name)
		f.Time.Clock = stamp.ZoneOf(nil)
		if strings.Contains(c.stamp, "/") {
			f.Time.Order = stamp.MonthFirst
		}
		tab := &rows.TagTable{ByKey: map[string]int{}}
		tab.Make = func(name, declared string) *cell.TagSpec {
			return cell.SpecFor(name, declared, "", nil, nil, cell.UnitPlan{})
		}
		for i := range f.Cols {
			if col := &f.Cols[i]; !long && col.Role == layout.RoleValue {
				col.Tag = len(tab.Specs)
				tab.Specs = append(tab.Specs, tab.Make(col.Name, ""))
			}
		}
		skip := strings.Index(b.String(), "\n") + 1
		buf := append(make([]byte, 0, len(text)+record.HotMargin), text[skip:]...)
		ahead := buf[:len(buf)+record.HotMargin]
		w := rows.NewWorker(f, tab, math.MinInt64, math.MaxInt64, nil)
		w.B = &rows.Block{Buf: buf, Term: '\n'}
		if !long {
			w.B.Begin(tags, false)
		}
		detours := 0
		for i := 0; i < len(buf); {
			if long {
				i = w.LongRows(ahead, i, len(buf)-1)
			} else {
				i = w.WideRows(ahead, i, len(buf)-1)
			}
			if i < len(buf) {
				i = w.Row(buf, i, long)
				detours++
			}
		}
		require.LessOrEqual(t, detours, c.detours, c.name)
		if long {
			require.Equal(t, tags*minutes, w.B.Rows, c.name)
			continue
		}
		require.Equal(t, minutes, w.B.Rows, c.name)
		// Once the good quality is known, whole columns stand.
		next := &rows.Block{Buf: buf}
		w.Run(next)
		require.Equal(t, []int{minutes, minutes, 0}, []int{next.Rows, next.Grid.Rows, next.Grid.Count}, c.name)
	}
}
