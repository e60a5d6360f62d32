package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/reports"
	"weirbook/reports/sparks"
)

func newCheckCmd() *cobra.Command {
	var j job
	var chart string
	cmd := &cobra.Command{
		Use:     "check -p PLANT EXPORT...",
		Short:   "Read and screen only: the row ledger and what looks wrong; writes nothing but --chart",
		Example: "  weirbook check -p alder-creek exports\n  weirbook check -p alder-creek exports --chart tags.html",
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := j.open()
			if err != nil {
				return err
			}
			files, err := j.exports(cmd, args)
			if err != nil {
				return err
			}
			if err := files.takeLogs(p); err != nil {
				return err
			}
			told := progressOf(cmd)
			c, err := analysis.Check(cmd.Context(), analysis.Input{Plant: p, Files: files.files, NotRead: files.notRead, Strict: j.strict, Progress: told.reading()})
			told.finish()
			if err != nil {
				return err
			}
			if chart != "" {
				var rows []sparks.Row
				for _, t := range p.Tags {
					rows = append(rows, sparks.Row{Tag: t.Name, Taken: string(t.Measures) + " at " + t.At + ", " + t.Reading.String(), Unit: t.Working.Symbol, Single: t.Sampled(), Series: c.Read.Series[t.Name]})
				}
				if err := writeCharts(chart, p.Name+": what each tag was taken for", p.Zone, rows); err != nil {
					return err
				}
			}
			if err := reports.PrintCheck(cmd.OutOrStdout(), p, c); err != nil {
				return err
			}
			if j.dir() != "" {
				if err := tellOpen(cmd.OutOrStdout(), j.dir()); err != nil {
					return err
				}
			}
			if j.plantDir != "" && len(args) > 0 {
				words := []string{"weirbook run -p", quoted(filepath.ToSlash(j.plantDir))}
				for _, a := range args {
					words = append(words, quoted(filepath.ToSlash(a)))
				}
				fmt.Fprintf(cmd.OutOrStdout(), "\nNext: %s\n", strings.Join(words, " "))
			}
			return readWhole(cmd, c.Read)
		},
	}
	j.flags(cmd)
	chartFlag(cmd, &chart)
	return cmd
}
