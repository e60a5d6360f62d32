package main

import (
	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/reports"
)

func newCheckCmd() *cobra.Command {
	var j job
	cmd := &cobra.Command{
		Use:     "check -p PLANT EXPORT...",
		Short:   "Read and screen only: the row ledger and what looks wrong; writes nothing",
		Example: "  weirbook check -p alder-creek exports",
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := j.open()
			if err != nil {
				return err
			}
			files, err := j.exports(cmd, args)
			if err != nil {
				return err
			}
			show, finish := readingBar(cmd.ErrOrStderr())
			c, err := analysis.Check(cmd.Context(), analysis.Input{Plant: p, Files: files.files, NotRead: files.notRead, Strict: j.strict, Progress: show})
			finish()
			if err != nil {
				return err
			}
			if err := reports.PrintCheck(cmd.OutOrStdout(), p, c); err != nil {
				return err
			}
			return readWhole(cmd, c.Read)
		},
	}
	j.flags(cmd)
	return cmd
}
