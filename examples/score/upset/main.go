// Command upset scores the explanation of upsets on invented months whose first
// mover is known, and prints what it measured.
//
//	go run ./examples/score/upset              the printed score
//	go run ./examples/score/upset -seed 7000   months nobody has seen
//	go run ./examples/score/upset -list        every case
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"sync"

	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
	"weirbook/examples/upsets"
)

func main() {
	seed := flag.Uint64("seed", 30000, "first seed; thresholds were set on others")
	rounds := flag.Int("rounds", 6, "rounds of 14 cases")
	list := flag.Bool("list", false, "list every case")
	regime := flag.String("regime", string(simulate.Nitrified), "nitrified, partly-nitrified or chloraminated")
	only := flag.String("only", "", "cases whose name contains this")
	flag.Parse()
	var cases []upsets.Case
	for _, c := range upsets.Cases(*seed, *rounds, simulate.Regime(*regime)) {
		if strings.Contains(c.Name, *only) {
			cases = append(cases, c)
		}
	}
	outs := make([]upsets.Outcome, len(cases))
	errs := make([]error, len(cases))
	var wg sync.WaitGroup
	next := make(chan int)
	for range 2 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				outs[i], errs[i] = upsets.Run(cases[i], upset.DefaultSettings())
			}
		}()
	}
	for i := range cases {
		next <- i
	}
	close(next)
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			fmt.Fprintf(os.Stderr, "upset: %s: %v\n", cases[i].Name, err)
			os.Exit(1)
		}
	}
	if *list {
		for _, o := range outs {
			fmt.Printf("%-36s episode %-5v first %-5v %-20s late %4.0f min  order %v of %v  %s, %s\n", o.Case.Name, o.Episode, o.FirstRight, o.First, o.Late, o.OrderRight, o.OrderKnown, o.Cause.Kind, o.Cause.Level)
			if o.Episode && !(o.FirstRight && o.OrderRight) {
				fmt.Printf("    told %s\n    true %s\n", strings.Join(o.Told, ", "), strings.Join(o.True, ", "))
			}
		}
		fmt.Println()
	}
	fmt.Print(upsets.Report(outs, *seed))
}
