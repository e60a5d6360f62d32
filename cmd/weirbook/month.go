package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/reports"
)

func newMonthCmd() *cobra.Command {
	var j job
	var month, out string
	cmd := &cobra.Command{
		Use:   "month -p PLANT EXPORT... --month 2026-03 [-o DIR]",
		Short: "The monthly discharge summary, each figure with where it comes from",
		Long: `Prepares what is copied into the permit's form: each line of the permit in
plant.toml with its result by the legal definition of its statistic, rounded once
by the permit's rule, held against its limit. Writes a folder: report.html,
report.md, charts, month.csv, daily.csv, a workbook whose figures are live
formulas over the day cells, readings.csv, set-aside.csv and run.json.

Put earlier months of the year among the exports for the year to date, and the
neighbouring months for weeks that straddle two.`,
		Example: "  weirbook month -p alder-creek exports --month 2026-03 -o march-summary",
		Args:    atLeast(1, "at least one export"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if month == "" {
				return usageError{errors.New("name the month with --month, as in --month 2026-03")}
			}
			first, err := time.Parse("2006-01", month)
			if err != nil {
				return usageError{fmt.Errorf("--month %q; write a year and a month, as in 2026-03", month)}
			}
			if out == "" {
				out = "weirbook-month-" + month
			}
			if err := reports.CheckOutput(out); err != nil {
				return err
			}
			p, err := openPlant(j.plantDir)
			if err != nil {
				return err
			}
			files, err := findExports(args)
			if err != nil {
				return err
			}
			show, finish := readingBar(cmd.ErrOrStderr())
			r, err := analysis.Month(cmd.Context(), analysis.Input{Plant: p, Files: files.files, NotRead: files.notRead, Strict: j.strict, Hash: true, Progress: show}, first.Year(), first.Month())
			finish()
			if err != nil {
				return err
			}
			if err := written(cmd, reports.WriteMonth(out, r, version())); err != nil {
				return err
			}
			if s := reports.Unread(r.Read); s != "" {
				fmt.Fprintln(cmd.OutOrStdout(), s)
			}
			for _, s := range reports.MonthVerdict(r.Month) {
				fmt.Fprintln(cmd.OutOrStdout(), s)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "\nReport: %s\n", filepath.ToSlash(filepath.Join(out, "report.html")))
			return readWhole(cmd, r.Read)
		},
	}
	j.flags(cmd)
	cmd.Flags().StringVar(&month, "month", "", "the calendar month, as 2026-03")
	cmd.Flags().StringVarP(&out, "out", "o", "", "folder for the summary (default weirbook-month-YYYY-MM); replaced whole if an earlier run made it")
	return cmd
}
