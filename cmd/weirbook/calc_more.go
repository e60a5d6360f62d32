package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis/contact"
	"weirbook/analysis/loading/whiteboard"
	"weirbook/analysis/quantity"
)

func calcSolution() *cobra.Command {
	return sum("solution", "weight of a solution = gal/d x 8.34 x specific gravity",
		"  weirbook calc solution --feed 10gal/h --gravity 1.2\n  weirbook calc solution --weight 2400lb/d --gravity 1.2",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			feed := quantityFlag(cmd, "feed", "gal/h, gal/d or mL/min of the solution")
			weight := quantityFlag(cmd, "weight", "lb/d of the solution")
			gravity := numberFlag(cmd, "gravity", "specific gravity of the solution")
			return func() (*whiteboard.Work, error) { return whiteboard.SolutionWeight(*feed, *weight, *gravity) }
		})
}

func calcBatch() *cobra.Command {
	return sum("batch", "a dilution: strong x use = weak x make",
		"  weirbook calc batch --strong 125g/L --weak 10g/L --make 500gal\n  weirbook calc batch --strong 125g/L --use 55gal --weak 10g/L",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			strong := quantityFlag(cmd, "strong", "concentration of what is used, g/L or mg/L")
			use := quantityFlag(cmd, "use", "volume of it")
			weak := quantityFlag(cmd, "weak", "concentration of what is made")
			mk := quantityFlag(cmd, "make", "volume of it")
			return func() (*whiteboard.Work, error) { return whiteboard.Batch(*strong, *use, *weak, *mk) }
		})
}

func calcHOCl() *cobra.Command {
	return sum("hocl", "share of free chlorine that is hypochlorous acid",
		"  weirbook calc hocl --ph 7.5 --temp 25degC",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			ph := numberFlag(cmd, "ph", "pH")
			temp := quantityFlag(cmd, "temp", "temperature of the water")
			return func() (*whiteboard.Work, error) {
				t, err := celsius(*temp)
				if err != nil {
					return nil, err
				}
				return whiteboard.HOCl(*ph, t)
			}
		})
}

// celsius is a temperature in °C; NaN for none.
func celsius(a *whiteboard.Amount) (float64, error) {
	if a == nil {
		return math.NaN(), nil
	}
	v, err := quantity.Convert(a.Value, a.Unit, quantity.MustUnit("degC"))
	if err != nil {
		return v, fmt.Errorf("temp: %w", err)
	}
	return v, nil
}

func calcLog() *cobra.Command {
	return sum("log", "log inactivation by the published tables, from a CT",
		"  weirbook calc log --ct 56mg-min/L --pathogen giardia --residual 1mg/L --ph 7 --temp 10degC\n  weirbook calc log --ct 6mg-min/L --pathogen virus --ph 7 --temp 5degC",
		func(cmd *cobra.Command, _ *board) func() (*whiteboard.Work, error) {
			ct := quantityFlag(cmd, "ct", "CT, mg-min/L")
			pathogen := cmd.Flags().String("pathogen", "giardia", "giardia or virus")
			disinfectant := cmd.Flags().String("disinfectant", "free", "free chlorine or chloramine")
			residual := quantityFlag(cmd, "residual", "residual, for giardia by free chlorine")
			ph := numberFlag(cmd, "ph", "pH")
			temp := quantityFlag(cmd, "temp", "temperature of the water")
			return func() (*whiteboard.Work, error) {
				return logInactivation(*ct, *residual, *temp, *ph, *pathogen, *disinfectant)
			}
		})
}

func logInactivation(ct, residual, temp *whiteboard.Amount, ph float64, pathogen, disinfectant string) (*whiteboard.Work, error) {
	if ct == nil {
		return nil, fmt.Errorf("give the --ct, as in --ct 56mg-min/L")
	}
	v, err := quantity.Convert(ct.Value, ct.Unit, quantity.MustUnit("mg·min/L"))
	if err != nil {
		return nil, fmt.Errorf("ct: %w", err)
	}
	at := contact.Conditions{PH: ph}
	if at.TempC, err = celsius(temp); err != nil {
		return nil, err
	}
	if residual != nil {
		if at.ChlorineMgL, err = quantity.Convert(residual.Value, residual.Unit, quantity.MustUnit("mg/L")); err != nil {
			return nil, fmt.Errorf("residual: %w", err)
		}
	}
	which, name := contact.Giardia, "Giardia"
	switch strings.ToLower(pathogen) {
	case "giardia":
	case "virus":
		which, name = contact.Virus, "virus"
	default:
		return nil, fmt.Errorf("pathogen %q: giardia or virus", pathogen)
	}
	by := contact.FreeChlorine
	switch strings.ToLower(disinfectant) {
	case "free":
	case "chloramine":
		by = contact.Chloramine
	default:
		return nil, fmt.Errorf("disinfectant %q: free or chloramine", disinfectant)
	}
	if which == contact.Giardia && by == contact.FreeChlorine && residual == nil {
		return nil, fmt.Errorf("the table for Giardia by free chlorine goes by the residual: give it, as in --residual 1mg/L")
	}
	in := contact.LogInactivation(which, by, []contact.SegmentCT{{CTMgMinL: v, Conditions: at}}, contact.Conservative)
	full := contact.FullCT(which, by, at, contact.Conservative)
	if in.Why != contact.Known {
		return nil, fmt.Errorf("the tables do not hold this water: give pH and temperature within them (0.5 to 25 °C, pH 6 to 9)")
	}
	w := &whiteboard.Work{Title: "Log inactivation of " + name}
	w.Working = []string{fmt.Sprintf("CT for %g log by the table = %s mg·min/L", full.Log, whiteboard.Num(full.CTMgMinL)),
		fmt.Sprintf("log inactivation = %g × CT ÷ %s = %g × %s ÷ %s = %s", full.Log, whiteboard.Num(full.CTMgMinL), full.Log, whiteboard.Num(v), whiteboard.Num(full.CTMgMinL), whiteboard.Num(in.Log))}
	w.Results = []whiteboard.Result{{Name: "log inactivation", Value: in.Log}}
	if in.Beyond {
		w.Results[0] = whiteboard.Result{Name: "log inactivation, more than", Value: full.Log}
		w.Notes = append(w.Notes, fmt.Sprintf("the tables end at %g log; nothing is published above", full.Log))
	}
	w.Notes = append(w.Notes, "the next worse printed temperature, pH and chlorine are taken", "the tables are drinking-water law (40 CFR 141.74(b)(3)), which a wastewater permit may or may not borrow")
	return w, nil
}

func calcGeomean() *cobra.Command {
	const example = "  weirbook calc geomean 12 30 6 2419.6"
	cmd := &cobra.Command{Use: "geomean RESULT...", Short: "geometric mean of results", Example: example}
	asJSON := cmd.Flags().Bool("json", false, "print the sum as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		var vs []float64
		for _, a := range args {
			v, err := strconv.ParseFloat(a, 64)
			if err != nil || math.IsInf(v, 0) {
				return usageError{fmt.Errorf("geomean: %q is no number; write a bound as the number that the permit has it count for", a)}
			}
			vs = append(vs, v)
		}
		w, err := whiteboard.GeometricMean(vs)
		if err != nil {
			return usageError{fmt.Errorf("geomean: %w", err)}
		}
		return printWork(cmd.OutOrStdout(), w, *asJSON)
	}
	return cmd
}
