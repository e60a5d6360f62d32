package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/finding"
	"weirbook/reports"
)

// job is what every command that reads exports is told.
type job struct {
	plantDir string
	period   period
	strict   bool
}

func (j *job) flags(cmd *cobra.Command) {
	cmd.Flags().StringVarP(&j.plantDir, "plant", "p", "", "the plant's folder, holding plant.toml and tags.csv")
	cmd.Flags().BoolVar(&j.strict, "strict", false, "stop at an export that cannot be read whole, instead of going on with the rest")
}

// input opens the plant and finds its exports and logs: what every analysis starts
// from. The period's bounds are those of --from and --to, where the command has them.
func (j *job) input(cmd *cobra.Command, args []string) (analysis.Input, error) {
	p, err := j.open()
	if err != nil {
		return analysis.Input{}, err
	}
	files, err := j.exports(cmd, args)
	if err != nil {
		return analysis.Input{}, err
	}
	if err := files.takeLogs(p); err != nil {
		return analysis.Input{}, err
	}
	from, to, err := j.period.bounds(p.Zone)
	return analysis.Input{Plant: p, Files: files.files, NotRead: files.notRead, From: from, To: to, Strict: j.strict, Hash: true}, err
}

// analyse reads the exports and does the whole analysis.
func (j *job) analyse(cmd *cobra.Command, args []string, told *progress) (*analysis.Result, error) {
	in, err := j.input(cmd, args)
	if err != nil {
		return nil, err
	}
	in.Progress = told.reading()
	return analysis.Run(cmd.Context(), in)
}

func newRunCmd() *cobra.Command {
	var j job
	var out, failOn string
	cmd := &cobra.Command{
		Use:   "run -p PLANT EXPORT... [-o DIR]",
		Short: "The main job: exports in, the whole report out",
		Long: `Reads the exports (files, folders or patterns), screens and aligns them, derives
hourly loadings and chlorine-contact CT, judges ORP against residual, and writes
a folder: report.html, report.md, charts, hourly.csv, daily.csv, findings.csv,
findings.json, readings.csv, set-aside.csv and run.json.`,
		Example: "  weirbook run -p alder-creek exports/*.csv -o march-report",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := j.fill(cmd, &out, &failOn); err != nil {
				return err
			}
			level, err := severityAtLeast(failOn)
			if err != nil {
				return err
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
			err = reports.WriteRun(out, r, version(), "run", told.drawing)
			told.finish()
			if err := written(cmd, err); err != nil {
				return err
			}
			tell(cmd, r, out)
			if err := readWhole(cmd, r.Read); err != nil {
				return err
			}
			return found(r.Findings, level)
		},
	}
	j.flags(cmd)
	j.period.flags(cmd)
	cmd.Flags().StringVarP(&out, "out", "o", "weirbook-report", "folder for the report; replaced whole if an earlier run made it")
	failOnFlag(cmd, &failOn)
	return cmd
}

func failOnFlag(cmd *cobra.Command, failOn *string) {
	cmd.Flags().StringVar(failOn, "fail-on", "", "exit with 3 when a finding is at or above: notice, warning or critical")
}

// severityAtLeast reads --fail-on; -1 when nothing is asked.
func severityAtLeast(word string) (int, error) {
	switch s := finding.Severity(word); s {
	case "":
		return -1, nil
	case finding.Critical, finding.Warning, finding.Notice:
		return s.Rank(), nil
	}
	return 0, usageError{fmt.Errorf("--fail-on %q; write notice, warning or critical", word)}
}

func found(fs []finding.Finding, level int) error {
	n := 0
	for _, f := range fs {
		if f.Alarm() && f.Severity.Rank() <= level {
			n++
		}
	}
	if n > 0 {
		return foundError{n}
	}
	return nil
}

// written passes on the error of a report's writing; where the report stands and
// something is left over beside it, that is told and no error.
func written(cmd *cobra.Command, err error) error {
	var remark reports.Remark
	if errors.As(err, &remark) {
		fmt.Fprintln(cmd.ErrOrStderr(), "weirbook: the report is written;", remark)
		return nil
	}
	return err
}

// readWhole names on the terminal what weirbook wrote itself and did not read, and
// gives the error of a run that worked without some of its exports.
func readWhole(cmd *cobra.Command, read *export.Result) error {
	for _, m := range read.Messages {
		if m.Severity == export.Warning && (m.Text == ownFile || m.Text == ownFolder) {
			fmt.Fprintf(cmd.ErrOrStderr(), "weirbook: %s: %s\n", m.File, m.Text)
		}
	}
	if lost := analysis.Unread(read); len(lost) > 0 {
		return unreadError(lost)
	}
	return nil
}

// tell says the verdict on the terminal, and where the report is.
func tell(cmd *cobra.Command, r *analysis.Result, out string) {
	w := cmd.OutOrStdout()
	for _, s := range reports.Verdict(r) {
		fmt.Fprintln(w, s)
	}
	fmt.Fprintf(w, "\nReport: %s\n", filepath.ToSlash(filepath.Join(out, "report.html")))
}
