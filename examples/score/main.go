// Command score runs the generator's scoring months through the judgement of
// who is wrong and prints how well it did: recall by kind and severity, delay,
// who was named, false alarms, and whether stated confidence was earned.
//
//	go run ./examples/score            the held-out half
//	go run ./examples/score -half tune the half that thresholds were set on
//	go run ./examples/score -seed 9000 months nobody has seen
package main

import (
	"flag"
	"fmt"
	"os"
	"runtime"
	"runtime/pprof"
	"sync"
	"time"

	"weirbook/analysis/orp"
	"weirbook/examples/simulate"
)

func timeOf(ms int64) time.Time { return time.UnixMilli(ms) }

func main() {
	half := flag.String("half", simulate.HeldOut, "tune or held-out")
	seed := flag.Uint64("seed", 0, "first seed; 0: that of the half")
	only := flag.String("only", "", "months whose name contains this")
	list := flag.Bool("list", false, "list every event and every false alarm")
	events := flag.Bool("events", false, "as -list, only what went wrong")
	workers := flag.Int("workers", min(2, runtime.NumCPU()), "months at a time")
	dump := flag.String("claims", "", "write every finding's features and whether it was right to this CSV file")
	prof := flag.String("cpuprofile", "", "write a CPU profile to this file")
	flag.Parse()
	if *prof != "" {
		f, err := os.Create(*prof)
		if err != nil {
			fmt.Fprintln(os.Stderr, "score:", err)
			os.Exit(1)
		}
		defer f.Close()
		if err := pprof.StartCPUProfile(f); err == nil {
			defer pprof.StopCPUProfile()
		}
	}
	if err := run(*half, *seed, *only, *list, *events, *workers, *dump); err != nil {
		fmt.Fprintln(os.Stderr, "score:", err)
		os.Exit(1)
	}
}

func run(half string, seed uint64, only string, list, wrong bool, workers int, dump string) error {
	if seed == 0 {
		seed = map[string]uint64{simulate.Tune: 1001, simulate.HeldOut: 2002}[half]
	}
	if seed == 0 {
		return fmt.Errorf("-half %q: write %s or %s", half, simulate.Tune, simulate.HeldOut)
	}
	var months []simulate.Scenario
	for _, s := range simulate.ScoreHalf(half, seed) {
		if contains(s.Name, only) {
			months = append(months, s)
		}
	}
	if len(months) == 0 {
		return fmt.Errorf("no month's name contains %q", only)
	}
	tallies := make([]tally, len(months))
	errs := make([]error, len(months))
	var spent time.Duration
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := make(chan int)
	for range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				m, err := simulate.Run(months[i].Config)
				if err != nil {
					errs[i] = err
					continue
				}
				in := input(m)
				t0 := time.Now()
				res, err := orp.Judge(in, orp.DefaultSettings())
				d := time.Since(t0)
				mu.Lock()
				spent += d
				mu.Unlock()
				if err != nil {
					errs[i] = err
					continue
				}
				tallies[i] = judgeMonth(m, plantClass(months[i].Config.Plant), res)
			}
		}()
	}
	for i := range months {
		next <- i
	}
	close(next)
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return fmt.Errorf("%s: %w", months[i].Name, err)
		}
	}
	if list || wrong {
		detail(os.Stdout, tallies, wrong)
	}
	if dump != "" {
		if err := writeClaims(dump, tallies); err != nil {
			return err
		}
	}
	fmt.Printf("%s half, first seed %d, %d months, %.0f ms of judging a month\n\n", half, seed, len(months), spent.Seconds()*1000/float64(len(months)))
	report(os.Stdout, tallies)
	return nil
}
