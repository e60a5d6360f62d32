// Command score runs invented plants through the judgement of who is wrong and
// prints how well it did: what was found and who was named, by size, kind and
// type of plant, false alarms, delay, and whether stated confidence was earned.
//
//	go run ./examples/score -half tune        the half that thresholds may be set on
//	go run ./examples/score -half tune -n 4   every fourth record of it
//	go run ./examples/score -seed 9000        held-out plants that nobody has seen
//
// Set "new" is package plants, through the whole program from the text of the
// exports on; "old" is package simulate, handed to the engine as columns.
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
	"weirbook/examples/plants"
	"weirbook/examples/simulate"
)

func timeOf(ms int64) time.Time { return time.UnixMilli(ms) }

func main() {
	set := flag.String("set", "new", "new, old or all")
	half := flag.String("half", simulate.HeldOut, "tune or held-out")
	nth := flag.Int("n", 1, "only every nth record")
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
	if err := run(options{*set, *half, *seed, *nth, *only, *list, *events, *workers, *dump}); err != nil {
		fmt.Fprintln(os.Stderr, "score:", err)
		os.Exit(1)
	}
}

type options struct {
	set, half string
	seed      uint64
	nth       int
	only      string
	list      bool
	wrong     bool
	workers   int
	dump      string
}

// job is a record to be scored.
type job struct {
	name string
	do   func() (tally, error)
}

// jobs lists what the options ask for.
func jobs(o options) ([]job, error) {
	if o.half != simulate.Tune && o.half != simulate.HeldOut {
		return nil, fmt.Errorf("-half %q: write %s or %s", o.half, simulate.Tune, simulate.HeldOut)
	}
	if o.set != "new" && o.set != "old" && o.set != "all" {
		return nil, fmt.Errorf("-set %q: write new, old or all", o.set)
	}
	var out []job
	if o.set != "old" {
		months, err := plants.Months(o.half, o.seed)
		if err != nil {
			return nil, err
		}
		for _, c := range months {
			out = append(out, job{c.Name, func() (tally, error) { return scorePlants(c) }})
		}
	}
	if o.set != "new" {
		seed := o.seed
		if seed == 0 {
			seed = map[string]uint64{simulate.Tune: 1001, simulate.HeldOut: 2002}[o.half]
		}
		for _, s := range simulate.ScoreHalf(o.half, seed) {
			out = append(out, job{s.Name, func() (tally, error) { return scoreMonth(s) }})
		}
	}
	var keep []job
	for i, j := range out {
		if i%max(o.nth, 1) == 0 && contains(j.name, o.only) {
			keep = append(keep, j)
		}
	}
	if len(keep) == 0 {
		return nil, fmt.Errorf("no record's name contains %q", o.only)
	}
	return keep, nil
}

// scoreMonth scores a month of package simulate.
func scoreMonth(s simulate.Scenario) (tally, error) {
	m, err := simulate.Run(s.Config)
	if err != nil {
		return tally{}, err
	}
	res, err := orp.Judge(input(m), orp.DefaultSettings())
	if err != nil {
		return tally{}, err
	}
	return judgeMonth(m, plantClass(s.Config.Plant), res), nil
}

func run(o options) error {
	list, err := jobs(o)
	if err != nil {
		return err
	}
	tallies := make([]tally, len(list))
	errs := make([]error, len(list))
	var wg sync.WaitGroup
	next := make(chan int)
	begun := time.Now()
	for range o.workers {
		wg.Go(func() {
			for i := range next {
				tallies[i], errs[i] = list[i].do()
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return fmt.Errorf("%s: %w", list[i].name, err)
		}
	}
	if o.list || o.wrong {
		detail(os.Stdout, tallies, o.wrong)
	}
	if o.dump != "" {
		if err := writeClaims(o.dump, tallies); err != nil {
			return err
		}
	}
	fmt.Printf("%s half, set %s, first seed %d, %d records, %.0f s\n\n", o.half, o.set, o.seed, len(list), time.Since(begun).Seconds())
	report(os.Stdout, tallies)
	return nil
}
