package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/upset"
	"weirbook/reports"
)

func newUpsetCmd() *cobra.Command {
	var j job
	var span period
	var out string
	cmd := &cobra.Command{
		Use:   "upset -p PLANT EXPORT... --from T --to T [-o DIR]",
		Short: "One upset, explained",
		Long: `Explains what happened between two times: what was outside what is required, for
how long and with how much water; what moved first; where the CT went; what was
ruled out; what would have held it; what passed into the receiving water. Writes
report.html, report.md, charts, a draft incident narrative (incident-1.md),
moves.csv and would-have-held-1.csv.

Hand over some weeks of exports before the upset too: what is normal for an hour
is taken from the same hours of the clean days before.`,
		Example: "  weirbook upset -p alder-creek exports --from \"2026-03-14 04:00\" --to \"2026-03-14 16:00\" -o upset",
		RunE: func(cmd *cobra.Command, args []string) error {
			if span.from == "" || span.to == "" {
				return usageError{errors.New("say when it was: --from and --to, on the plant's clock")}
			}
			if err := reports.CheckOutput(out); err != nil {
				return err
			}
			told := progressOf(cmd)
			defer told.finish()
			r, err := j.analyse(cmd, args, told)
			if err != nil {
				return err
			}
			from, to, err := span.bounds(r.Plant.Zone)
			if err != nil {
				return err
			}
			us, err := r.ExplainBetween(from, to)
			if err != nil {
				return err
			}
			err = reports.WriteUpset(out, r, us, version(), told.drawing)
			told.finish()
			if err := written(cmd, err); err != nil {
				return err
			}
			if s := reports.Unread(r.Read); s != "" {
				fmt.Fprintln(cmd.OutOrStdout(), s)
			}
			tellUpset(cmd, r.Findings, us, out)
			return readWhole(cmd, r.Read)
		},
	}
	j.flags(cmd)
	span.flags(cmd)
	cmd.Flags().StringVarP(&out, "out", "o", "weirbook-upset", "folder for the report; replaced whole if an earlier upset made it")
	return cmd
}

// tellUpset says the answer on the terminal, and where the report is.
func tellUpset(cmd *cobra.Command, fs []finding.Finding, us []analysis.Upset, out string) {
	w := cmd.OutOrStdout()
	for i := range us {
		u := &us[i]
		for _, s := range upset.Headline(&u.Input, &u.Explanation) {
			fmt.Fprintln(w, s)
		}
		switch {
		case len(u.Episode.Breaches) > 0:
			fmt.Fprintf(w, "Likely cause: %s How sure: %s.\n", u.Cause.Says, u.Cause.Level)
		case len(u.Moves) > 0:
			fmt.Fprintln(w, "What moved all the same:")
		default:
			fmt.Fprintln(w, "No signal moved out of what is normal for the hour.")
		}
		for n, m := range u.Moves {
			fmt.Fprintf(w, "  %d. %s\n", n+1, strings.TrimRight(upset.MoveLine(&u.Input, &u.Explanation, m), "\n"))
		}
	}
	for _, f := range fs {
		if f.AtFault != finding.Process && during(f, us) {
			fmt.Fprintf(w, "Instruments: %s\n", f.Summary)
		}
	}
	fmt.Fprintf(w, "\nReport: %s\n", filepath.ToSlash(filepath.Join(out, "report.html")))
}

// during says whether a finding falls into one of the upsets.
func during(f finding.Finding, us []analysis.Upset) bool {
	for i := range us {
		if f.Start < us[i].Episode.End && f.End > us[i].Episode.Start {
			return f.Subject != us[i].Basin
		}
	}
	return false
}
