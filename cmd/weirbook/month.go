package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
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
report.md, charts, month.csv, month-days.csv, a workbook whose figures are live
formulas over the day cells, readings.csv, set-aside.csv and run.json.

Several months in a row, --month 2026-01..2026-06, make a folder with one of these for
each, and a sheet of all of them. A month of which the exports hold nothing is an error.

Put earlier months of the year among the exports for the year to date, and the
neighbouring months for weeks that straddle two.`,
		Example: "  weirbook month -p alder-creek exports --month 2026-03 -o march-summary",
		RunE: func(cmd *cobra.Command, args []string) error {
			if month == "" {
				return usageError{errors.New("name the month with --month, as in --month 2026-03")}
			}
			first, n, err := monthRange(month)
			if err != nil {
				return usageError{err}
			}
			if out == "" {
				out = "weirbook-month-" + strings.ReplaceAll(month, "..", "-to-")
			}
			if err := reports.CheckOutput(out); err != nil {
				return err
			}
			in, err := j.input(cmd, args)
			if err != nil {
				return err
			}
			told := progressOf(cmd)
			defer told.finish()
			in.Progress = told.reading()
			rs, err := analysis.Months(cmd.Context(), in, first, n)
			if err != nil {
				return err
			}
			err = written(cmd, reports.WriteMonths(out, rs, version(), told.drawing))
			told.finish()
			if err != nil {
				return err
			}
			read := rs[0].Read
			if s := reports.Unread(read); s != "" {
				fmt.Fprintln(cmd.OutOrStdout(), s)
			}
			for i, r := range rs {
				if i > 0 {
					fmt.Fprintln(cmd.OutOrStdout())
				}
				for _, s := range reports.MonthVerdict(r.Month) {
					fmt.Fprintln(cmd.OutOrStdout(), s)
				}
			}
			page := filepath.Join(out, "report.html")
			if n > 1 {
				page = filepath.Join(out, "months.xlsx") + ", and report.html of each month"
			}
			fmt.Fprintf(cmd.OutOrStdout(), "\nReport: %s\n", filepath.ToSlash(page))
			return readWhole(cmd, read)
		},
	}
	j.flags(cmd)
	cmd.Flags().StringVar(&month, "month", "", "the calendar month, as 2026-03, or several in a row, as 2026-01..2026-06")
	cmd.Flags().StringVarP(&out, "out", "o", "", "folder for the summary (default weirbook-month-YYYY-MM); replaced whole if an earlier run made it")
	return cmd
}

// monthRange reads 2026-03, or 2026-01..2026-06: the first month and how many.
func monthRange(s string) (first time.Time, n int, err error) {
	a, b, several := strings.Cut(s, "..")
	if !several {
		b = a
	}
	first, err = time.Parse("2006-01", strings.TrimSpace(a))
	last, err2 := time.Parse("2006-01", strings.TrimSpace(b))
	if err != nil || err2 != nil {
		return first, 0, fmt.Errorf("--month %q; write a year and a month, as in 2026-03, or the first and the last of several, as in 2026-01..2026-06", s)
	}
	n = 12*(last.Year()-first.Year()) + int(last.Month()-first.Month()) + 1
	if n < 1 || n > 60 {
		return first, 0, fmt.Errorf("--month %q makes %d months; write the earlier month first, and 60 at most", s, n)
	}
	return first, n, nil
}
