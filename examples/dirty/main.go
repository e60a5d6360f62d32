package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"sort"
	"strings"
	"sync"

	"weirbook/analysis/export"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// An outcome of reading one file.
type outcome int

const (
	right outcome = iota
	asked         // a question, an error, or no readings
	warned
	silent
)

var outcomeNames = []string{"right", "asked or refused", "wrong, warned of", "silently wrong"}

// A verdict on one file, and the first thing that was wrong.
type verdict struct {
	outcome outcome
	why     string
}

// judge reads the file and holds it against what was written.
func judge(w written, cut bool) (verdict, *export.Result, error) {
	r, err := export.Read(context.Background(), []record.File{{Name: w.name, Size: int64(len(w.bytes)),
		Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(w.bytes)), nil }}},
		export.Options{Zone: chicago, Rules: rules()})
	if err != nil {
		return verdict{}, nil, err
	}
	why := compare(r, w, cut)
	if why == "" {
		return verdict{outcome: right}, r, nil
	}
	v := verdict{outcome: silent, why: why}
	used := 0
	for _, l := range r.Ledger {
		if !l.AddsUp() {
			return verdict{silent, "the ledger does not add up"}, r, nil
		}
		used += l.Used
	}
	if used == 0 {
		v.outcome = asked
	}
	for _, m := range r.Messages {
		switch {
		case m.Asks.Key != "" || m.Severity == ledger.Error:
			v.outcome = asked
		case m.Severity == ledger.Warning && v.outcome == silent:
			v.outcome = warned
		}
	}
	return v, r, nil
}

// rules are the rows of tags.csv that a user would have.
func rules() map[string]rule.TagRule {
	kinds := []quantity.Kind{quantity.Flow, quantity.ChlorineTotal, quantity.ORP, quantity.Temp}
	m := map[string]rule.TagRule{}
	for i, t := range tags {
		u, err := quantity.ParseUnit(t.unit)
		if err != nil {
			panic(err)
		}
		m[t.name] = rule.TagRule{Kind: kinds[i], Unit: u, HasUnit: true, Low: math.NaN(), High: math.NaN(), Reading: series.Continuous, Line: i + 2}
	}
	return m
}

// compare tells the first reading that is not as it was written; "" if none is.
// A value that the file marks bad may stand there, flagged. cut: the last row was
// cut off, so its last values may be missing, but none may be another.
func compare(r *export.Result, w written, cut bool) string {
	for _, t := range tags {
		u, _ := quantity.ParseUnit(t.unit)
		got := map[int64]float64{}
		if s := r.Series[t.name]; s != nil {
			for i := range s.T {
				if s.Usable(i) {
					got[s.T[i]] = s.V[i]
				}
			}
		}
		for _, x := range w.truth[t.name] {
			ms := x.t.UnixMilli()
			v, ok := got[ms]
			delete(got, ms)
			last := cut && x.t.Equal(w.last)
			switch {
			case x.bad && ok:
				return fmt.Sprintf("%s at %s is marked bad, and used", t.name, x.t.Format("2006-01-02 15:04 MST"))
			case x.bad || !ok && last:
			case !ok:
				return fmt.Sprintf("%s at %s, %g %s, is not there", t.name, x.t.Format("2006-01-02 15:04 MST"), x.v, t.unit)
			default:
				if want := working(rules()[t.name].Kind, u, x.v); math.Abs(v-want) > 1e-9*math.Max(1, math.Abs(want)) {
					return fmt.Sprintf("%s at %s reads %g where %g was written (%g %s)", t.name, x.t.Format("2006-01-02 15:04 MST"), v, want, x.v, t.unit)
				}
			}
		}
		if len(got) > 0 {
			return fmt.Sprintf("%s has %d readings at times that were not written", t.name, len(got))
		}
	}
	return ""
}

// working converts by factors of its own: gal/min to MGD is 1440 minutes over a
// million (NIST SP 811 for the minute; the gallon cancels).
func working(k quantity.Kind, u quantity.Unit, v float64) float64 {
	if k == quantity.Flow {
		return v * 1440 / 1e6
	}
	return v
}

// score reads every crossing and counts the outcomes.
func score(all []crossing, seed uint64) ([4]int, []string) {
	var counts [4]int
	lines := make([]string, len(all))
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				v, _, err := judge(write(all[i], seed+uint64(i)), all[i]["tail"] == "cut short")
				if err != nil {
					v = verdict{asked, err.Error()}
				}
				if v.outcome != right {
					lines[i] = fmt.Sprintf("%-17s %s: %s", outcomeNames[v.outcome], all[i], v.why)
				}
				mu.Lock()
				counts[v.outcome]++
				mu.Unlock()
			}
		})
	}
	for i := range all {
		next <- i
	}
	close(next)
	wg.Wait()
	var out []string
	for _, l := range lines {
		if l != "" {
			out = append(out, l)
		}
	}
	sort.Strings(out)
	return counts, out
}

func main() {
	list := flag.Bool("list", false, "a line for each file that was not read right")
	show := flag.String("show", "", "write the file of one crossing, as -list names it, and what the reader says of it")
	seed := flag.Uint64("seed", 1, "of the values")
	flag.Parse()
	if err := run(*list, *show, *seed, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "dirty:", err)
		os.Exit(1)
	}
}

func run(list bool, show string, seed uint64, out io.Writer) error {
	if show != "" {
		c, err := parse(show)
		if err != nil {
			return err
		}
		w := write(c, seed)
		lines := strings.SplitAfter(string(w.bytes), "\n")
		fmt.Fprintf(out, "%s\n", strings.Join(lines[:min(8, len(lines))], ""))
		v, r, err := judge(w, c["tail"] == "cut short")
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "%s %s\n", outcomeNames[v.outcome], v.why)
		for _, f := range r.Files {
			fmt.Fprintf(out, "taken as %s; %s\n", f.Format, f.Zone)
		}
		for _, m := range r.Messages {
			fmt.Fprintf(out, "%d %s:%d %s %v\n", m.Severity, m.File, m.Line, m.Text, m.Asks)
		}
		return nil
	}
	all := crossings()
	counts, lines := score(all, seed)
	if list {
		fmt.Fprintln(out, strings.Join(lines, "\n"))
	}
	fmt.Fprintf(out, "%d files", len(all))
	for o, n := range counts {
		fmt.Fprintf(out, "; %s %d", outcomeNames[o], n)
	}
	fmt.Fprintln(out)
	return nil
}
