package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis/loading/whiteboard"
)

func newCalcCmd() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "calc",
		Short: "Whiteboard arithmetic: any one unknown, the working shown",
		Long: `Calc does a single sum the way it is written on the board: the formula, the
numbers put in, the answer. Leave out the quantity you want to know. Every
quantity takes its unit with it: 5MGD, 3472gpm, 2mg/L, 125g/L, 52083gal, 15min.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("calc does no sum called %q; it does pounds, dose, detention, ct, hypochlorite, dechlorination, solution, batch, log, hocl and geomean", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(calcPounds(), calcDose(), calcDetention(), calcCT(), calcHypochlorite(), calcDechlorination(), calcSolution(), calcBatch(), calcLog(), calcHOCl(), calcGeomean())
	return cmd
}

// sum is one calc command: its flags, and the sum that reads them. A sum that
// cannot be done is a wrong command line.
func sum(use, short, example string, flags func(*cobra.Command, *board) func() (*whiteboard.Work, error)) *cobra.Command {
	cmd := &cobra.Command{Use: use, Short: short, Example: example, Args: func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			first, _, _ := strings.Cut(strings.TrimSpace(example), "\n")
			return usageError{fmt.Errorf("%s: name what %q is, as in: %s", cmd.Name(), args[0], first)}
		}
		return nil
	}}
	b := &board{}
	work := flags(cmd, b)
	asJSON := cmd.Flags().Bool("json", false, "print the sum as JSON")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if b.err != nil {
			return usageError{b.err}
		}
		w, err := work()
		if err == nil {
			err = w.Check()
		}
		if err != nil {
			return usageError{fmt.Errorf("%s: %w", cmd.Name(), err)}
		}
		return printWork(cmd.OutOrStdout(), w, *asJSON)
	}
	return cmd
}

// board collects what the flags of one sum say.
type board struct{ err error }

// amount is a flag that takes a quantity with its unit.
type amount struct{ a **whiteboard.Amount }

func (f amount) String() string { return "" }
func (f amount) Type() string   { return "quantity" }
func (f amount) Set(s string) error {
	a, err := whiteboard.ParseAmount(s)
	if err != nil {
		return err
	}
	*f.a = a
	return nil
}

// plain is a flag that takes a bare number, NaN until it is given; a percent
// sign behind it is allowed.
type plain struct{ v *float64 }

func (f plain) String() string { return "" }
func (f plain) Type() string   { return "number" }
func (f plain) Set(s string) error {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(s, "%")), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%q is no number", s)
	}
	*f.v = v
	return nil
}

func quantityFlag(cmd *cobra.Command, name, usage string) **whiteboard.Amount {
	a := new(*whiteboard.Amount)
	cmd.Flags().Var(amount{a}, name, usage)
	return a
}

func numberFlag(cmd *cobra.Command, name, usage string) *float64 {
	v := math.NaN()
	cmd.Flags().Var(plain{&v}, name, usage)
	return &v
}

// solutionFlags describe a liquid chemical.
func solutionFlags(cmd *cobra.Command, b *board) func() whiteboard.Solution {
	strength := quantityFlag(cmd, "strength", "of the solution, 12.5% or 125g/L")
	as := cmd.Flags().String("as", "", "what a percentage means: trade, chlorine, naocl, volume, weight")
	gravity := numberFlag(cmd, "gravity", "specific gravity of the solution")
	return func() whiteboard.Solution {
		kind, err := whiteboard.ParseAs(*as)
		if err != nil {
			b.err = err
		}
		return whiteboard.Solution{Strength: *strength, As: kind, Gravity: *gravity}
	}
}

func calcPounds() *cobra.Command {
	return sum("pounds", "lb/d = MGD x mg/L x 8.34",
		"  weirbook calc pounds --flow 5MGD --conc 2mg/L\n  weirbook calc pounds --load 185lb/d --flow 10MGD",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			flow := quantityFlag(cmd, "flow", "flow, with a load per day")
			volume := quantityFlag(cmd, "volume", "volume, with a load by weight")
			conc := quantityFlag(cmd, "conc", "concentration")
			load := quantityFlag(cmd, "load", "load: lb/d or kg/d, or lb or kg for a volume")
			return func() (*whiteboard.Work, error) {
				return whiteboard.Pounds(whiteboard.PoundsGiven{Flow: *flow, Volume: *volume, Conc: *conc, Load: *load})
			}
		})
}

func calcDose() *cobra.Command {
	return sum("dose", "chlorine dose from feed and flow; demand from dose and residual",
		"  weirbook calc dose --feed 320lb/d --flow 5.6MGD --residual 1.2mg/L\n  weirbook calc dose --dose 6mg/L --flow 2MGD --strength 12.5% --as trade",
		func(cmd *cobra.Command, b *board) func() (*whiteboard.Work, error) {
			feed := quantityFlag(cmd, "feed", "lb/d of gas, or gal/h, gal/d, mL/min of a solution")
			flow := quantityFlag(cmd, "flow", "flow that is dosed")
			dose := quantityFlag(cmd, "dose", "dose")
			residual := quantityFlag(cmd, "residual", "residual of the same water, for the demand")
			ammonia := quantityFlag(cmd, "ammonia", "ammonia as N, for the weight ratio Cl2:N")
			solution := solutionFlags(cmd, b)
			return func() (*whiteboard.Work, error) {
				s := solution()
				if b.err != nil {
					return nil, b.err
				}
				return whiteboard.Dose(whiteboard.DoseGiven{Feed: *feed, Flow: *flow, Dose: *dose, Solution: s, Residual: *residual, Ammonia: *ammonia})
			}
		})
}

func calcDetention() *cobra.Command {
	return sum("detention", "detention time = volume / flow",
		"  weirbook calc detention --volume 52083gal --flow 5MGD\n  weirbook calc detention --flow 5MGD --time 15min",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			volume := quantityFlag(cmd, "volume", "volume of the basin")
			flow := quantityFlag(cmd, "flow", "flow through it")
			time := quantityFlag(cmd, "time", "detention time")
			return func() (*whiteboard.Work, error) { return whiteboard.Detention(*volume, *flow, *time) }
		})
}

func calcCT() *cobra.Command {
	return sum("ct", "CT = residual x contact time, from a time or from basin and flow",
		"  weirbook calc ct --residual 0.8mg/L --volume 150000gal --flow 5000gpm --baffling 0.7\n  weirbook calc ct --ct 450mg-min/L --time 98min",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			residual := quantityFlag(cmd, "residual", "residual at the outlet")
			ct := quantityFlag(cmd, "ct", "CT, mg-min/L")
			time := quantityFlag(cmd, "time", "contact time")
			volume := quantityFlag(cmd, "volume", "volume of the basin")
			flow := quantityFlag(cmd, "flow", "flow through it")
			factor := numberFlag(cmd, "baffling", "baffling factor T10/T")
			return func() (*whiteboard.Work, error) {
				return whiteboard.CT(whiteboard.CTGiven{Residual: *residual, CT: *ct, Time: *time, Volume: *volume, Flow: *flow, Factor: *factor})
			}
		})
}

func calcHypochlorite() *cobra.Command {
	return sum("hypochlorite", "a hypochlorite's strength under every name, and the feed for a dose",
		"  weirbook calc hypochlorite --strength 12.5% --as trade --gravity 1.16 --dose 6mg/L --flow 2MGD\n  weirbook calc hypochlorite --dry 70% --dose 8.5mg/L --flow 3.25MGD",
		func(cmd *cobra.Command, b *board) func() (*whiteboard.Work, error) {
			solution := solutionFlags(cmd, b)
			feed := quantityFlag(cmd, "feed", "gal/h, gal/d or mL/min of the solution")
			flow := quantityFlag(cmd, "flow", "flow that is dosed")
			dose := quantityFlag(cmd, "dose", "dose")
			age := numberFlag(cmd, "age", "days in storage since the strength was found")
			half := numberFlag(cmd, "half-life", "days in which the plant's hypochlorite loses half its strength")
			dry := numberFlag(cmd, "dry", "available chlorine of a dry product, percent")
			return func() (*whiteboard.Work, error) {
				s := solution()
				if b.err != nil {
					return nil, b.err
				}
				return whiteboard.Hypochlorite(whiteboard.HypochloriteGiven{Solution: s, AgeDays: *age, HalfLifeDays: *half, Feed: *feed, Flow: *flow, Dose: *dose, Dry: *dry})
			}
		})
}

func calcDechlorination() *cobra.Command {
	return sum("dechlorination", "feed of a dechlorination chemical for a residual",
		"  weirbook calc dechlorination --residual 2mg/L --flow 5MGD --agent bisulfite --strength 38% --gravity 1.31\n  weirbook calc dechlorination --feed 50lb/d --flow 5MGD --agent sulfur_dioxide",
		func(cmd *cobra.Command, b *board) func() (*whiteboard.Work, error) {
			agent := cmd.Flags().String("agent", "bisulfite", "bisulfite, metabisulfite, sulfite, sulfur_dioxide, thiosulfate …")
			ratio := numberFlag(cmd, "ratio", "mg of agent per mg of chlorine; the field ratio if not given")
			residual := quantityFlag(cmd, "residual", "residual to take out")
			flow := quantityFlag(cmd, "flow", "flow")
			feed := quantityFlag(cmd, "feed", "lb/d of agent, or gal/h, gal/d, mL/min of a solution")
			solution := solutionFlags(cmd, b)
			return func() (*whiteboard.Work, error) {
				s := solution()
				if b.err != nil {
					return nil, b.err
				}
				return whiteboard.Dechlorination(whiteboard.DechlorinationGiven{Agent: *agent, Ratio: *ratio, Residual: *residual, Flow: *flow, Feed: *feed, Solution: s})
			}
		})
}

// printWork writes a sum as on the board, or as JSON.
func printWork(out io.Writer, w *whiteboard.Work, asJSON bool) error {
	if asJSON {
		e := json.NewEncoder(out)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(w)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", w.Title)
	for _, l := range w.Working {
		fmt.Fprintf(&b, "  %s\n", l)
	}
	b.WriteString("\n")
	width := 0
	for _, r := range w.Results {
		width = max(width, len([]rune(r.Name)))
	}
	for _, r := range w.Results {
		fmt.Fprintf(&b, "%-*s  %s\n", width, r.Name, strings.TrimSpace(whiteboard.Num(r.Value)+" "+r.Unit))
	}
	for i, n := range w.Notes {
		if i == 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "Note: %s.\n", n)
	}
	_, err := io.WriteString(out, b.String())
	return err
}
