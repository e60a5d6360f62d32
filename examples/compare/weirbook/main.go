// Command weirbook, of the comparison, makes the same hourly table as the
// scripts beside it with Weirbook's own reader, screening and windows:
//
//	go run ./examples/compare/weirbook long|wide FILE OUT.csv
//
// Unlike them it recognises the export's layout, so the first word only says
// what it is expected to find, and it keeps the ledger and screens every tag.
package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sort"
	"strconv"
	"strings"
	"sync"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// holds is how the scripts take readings: each holds until the next good one,
// for at most 15 minutes, whatever lies between.
var holds = align.Rule{Reading: series.OnChange, MaxGap: 15 * time.Minute, UncertainAsBad: true, AtBad: align.Bridge}

// hourly reads an export and writes its table to w. said gets the ledger's sum
// and what screening remarked.
func hourly(f export.File, layout string, w io.Writer, said io.Writer) error {
	// No tags.csv is given: the reader takes every number as it stands, and
	// screening knows no more of it than that it is read often.
	r, err := export.Read(context.Background(), []export.File{f}, export.Options{Zone: time.UTC})
	if err != nil {
		return err
	}
	for _, i := range r.Files {
		if shape := map[string]string{"long": "a row per reading", "wide": "a column per tag"}[layout]; !strings.HasPrefix(i.Format, shape) {
			return fmt.Errorf("%s is %s, not %s", i.Name, i.Format, shape)
		}
	}
	var rows, used int
	for _, l := range r.Ledger {
		if !l.AddsUp() {
			return fmt.Errorf("the ledger of tag %s does not add up", l.Tag)
		}
		rows, used = rows+l.Rows, used+l.Used
	}
	var tags []screen.Tagged
	for _, s := range r.Series {
		tags = append(tags, screen.Tagged{Series: s, Kind: quantity.Other, Reading: series.Continuous, Low: math.NaN(), High: math.NaN(), Typical: math.NaN()})
	}
	sort.Slice(tags, func(i, j int) bool { return tags[i].Series.Tag < tags[j].Series.Tag })
	rep := screen.Screen(tags, screen.DefaultSettings())
	fmt.Fprintf(said, "%d rows, %d used; %d remarks of screening\n", rows, used, len(rep.Messages))

	tables := make([][]byte, len(tags))
	var wg sync.WaitGroup
	turn := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for k := range turn {
				tables[k] = table(tags[k].Series)
			}
		})
	}
	for k := range tags {
		turn <- k
	}
	close(turn)
	wg.Wait()
	out := bufio.NewWriter(w)
	out.WriteString("tag,hour,count,lowest,highest,mean\n")
	for _, t := range tables {
		out.Write(t)
	}
	return out.Flush()
}

// table gives the rows of one tag, as the scripts write them.
func table(s *series.Series) []byte {
	if s.Len() == 0 {
		return nil
	}
	hours := align.Hours(s.T[0], s.T[s.Len()-1]+1, time.UTC)
	b := make([]byte, 0, 80*len(hours))
	i := 0
	for k, st := range align.Over(s, holds, hours) {
		if st.N == 0 {
			continue // what is still held makes no row
		}
		low, high := math.Inf(1), math.Inf(-1)
		for i < s.Len() && s.T[i] < hours[k].Start {
			i++
		}
		for ; i < s.Len() && s.T[i] < hours[k].End; i++ {
			if v := s.V[i]; s.F[i]&(series.Unusable|series.Uncertain) == 0 && v == v {
				if v < low {
					low = v
				}
				if v > high {
					high = v
				}
			}
		}
		b = append(b, s.Tag...)
		b = append(b, ',')
		b = time.UnixMilli(hours[k].Start).UTC().AppendFormat(b, "2006-01-02 15:04:05")
		b = append(b, ',')
		b = strconv.AppendInt(b, int64(st.N), 10)
		for _, v := range []float64{low, high, st.Mean} {
			b = append(b, ',')
			b = strconv.AppendFloat(b, v, 'g', -1, 64)
		}
		b = append(b, '\n')
	}
	return b
}

func run(args []string, said io.Writer) error {
	if len(args) != 3 || args[0] != "long" && args[0] != "wide" {
		return fmt.Errorf("usage: weirbook long|wide FILE OUT.csv")
	}
	st, err := os.Stat(args[1])
	if err != nil {
		return err
	}
	out, err := os.Create(args[2])
	if err != nil {
		return err
	}
	f := export.File{Name: filepath.Base(args[1]), Size: st.Size(), Open: func() (io.ReadCloser, error) { return os.Open(args[1]) }}
	if err := hourly(f, args[0], out, said); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}

func main() {
	if err := run(os.Args[1:], os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
