package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/analysis/plant"
	"weirbook/analysis/review"
	"weirbook/reports"
)

func newReviewCmd() *cobra.Command {
	var j job
	var compare, by, out string
	cmd := &cobra.Command{
		Use:   "review -p PLANT EXPORT... [-o DIR]",
		Short: "The performance review of a year or more",
		Long: `Reviews how a plant disinfected over its record: how reliably it met what is
asked, what limited it, what another limit or more flow would have meant, what
drives its demand and its cost, what changed, and which instrument can be
trusted. Writes a folder: report.html, report.md, charts, review.csv (every
figure with its n, coverage and definition), review.xlsx (percentiles and
what-if tables live), readings.csv, set-aside.csv and run.json.

Years are read stretch by stretch, so that memory does not grow with them. It
advises: what it means for the permit is for the regulator to say.`,
		Example: "  weirbook review -p alder-creek exports --compare 2024-01-01..2025-01-01 --from 2025-01-01 -o review",
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(review.Groupings(), review.Grouping(by)) {
				return usageError{fmt.Errorf("--by %q; write season, month, hour or weekday", by)}
			}
			if err := reports.CheckOutput(out); err != nil {
				return err
			}
			in, err := j.input(cmd, args)
			if err != nil {
				return err
			}
			other, err := comparePeriod(compare, in.Plant)
			if err != nil {
				return err
			}
			told := progressOf(cmd)
			defer told.finish()
			in.Progress = told.reading()
			r, err := analysis.Review(cmd.Context(), in, other[0], other[1], review.Grouping(by))
			if err != nil {
				return err
			}
			err = written(cmd, reports.WriteReview(out, r, version(), told.drawing))
			told.finish()
			if err != nil {
				return err
			}
			tellReview(cmd, r, out)
			return readWhole(cmd, r.Read)
		},
	}
	j.flags(cmd)
	j.period.flags(cmd)
	cmd.Flags().StringVar(&compare, "compare", "", "another period to hold this one against, as 2024-01-01..2025-01-01")
	cmd.Flags().StringVar(&by, "by", string(review.BySeason), "how percentiles are parted: season, month, hour or weekday")
	cmd.Flags().StringVarP(&out, "out", "o", "weirbook-review", "folder for the review; replaced whole if an earlier review made it")
	return cmd
}

// tellReview says the summary on the terminal, and where the review is.
func tellReview(cmd *cobra.Command, r *analysis.ReviewResult, out string) {
	w := cmd.OutOrStdout()
	if s := reports.Unread(r.Read); s != "" {
		fmt.Fprintln(w, s)
	}
	for _, s := range r.Review.Summary.Sentences {
		fmt.Fprintln(w, s)
	}
	fmt.Fprintf(w, "\nReport: %s\n", filepath.ToSlash(filepath.Join(out, "report.html")))
}

// comparePeriod reads FROM..TO; two zeros when nothing is asked.
func comparePeriod(s string, p *plant.Plant) ([2]int64, error) {
	if s == "" {
		return [2]int64{}, nil
	}
	a, b, ok := strings.Cut(s, "..")
	if !ok {
		return [2]int64{}, usageError{fmt.Errorf("--compare %q; write two moments with two dots between, as 2024-01-01..2025-01-01", s)}
	}
	from, err := plant.ParseTime(strings.TrimSpace(a), p.Zone)
	if err != nil {
		return [2]int64{}, usageError{fmt.Errorf("--compare: %w", err)}
	}
	to, err := plant.ParseTime(strings.TrimSpace(b), p.Zone)
	if err != nil {
		return [2]int64{}, usageError{fmt.Errorf("--compare: %w", err)}
	}
	if !from.Before(to) {
		return [2]int64{}, usageError{fmt.Errorf("--compare %q; the first moment must lie before the second", s)}
	}
	return [2]int64{from.UnixMilli(), to.UnixMilli()}, nil
}
