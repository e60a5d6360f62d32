package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/review"
	"weirbook/examples"
	"weirbook/examples/ready"
	"weirbook/reports"
)

func newDemoCmd() *cobra.Command {
	var out string
	var years int
	cmd := &cobra.Command{
		Use:   "demo [-o DIR]",
		Short: "An invented plant, its exports, and the run on them",
		Long: `Writes a folder with an invented plant's description (plant), a month of its
exports (exports), what really happened (truth), and the report of a run on them
(report). Change plant/tags.csv or an export and run again to see what moves.

With --years it writes that many years of exports instead, made month by month,
and the review of them.`,
		Example: "  weirbook demo -o out",
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			st, err := reports.NewStage(out)
			if err != nil {
				return err
			}
			defer st.Abort()
			var r *analysis.Result
			var v *analysis.ReviewResult
			if cmd.Flags().Changed("years") {
				v, err = stageYears(cmd, st, years)
			} else {
				r, err = stageDemo(cmd, st)
			}
			if err != nil {
				return err
			}
			marker, err := json.MarshalIndent(map[string]any{"program": "weirbook", "command": "demo", "version": version(), "files": st.Files()}, "", "  ")
			if err != nil {
				return err
			}
			if err := st.WriteFile(reports.Marker, append(marker, '\n')); err != nil {
				return err
			}
			if err := written(cmd, st.Commit()); err != nil {
				return err
			}
			if v != nil {
				tellReview(cmd, v, filepath.Join(out, "report"))
				return nil
			}
			tell(cmd, r, filepath.Join(out, "report"))
			fmt.Fprintf(cmd.OutOrStdout(), "The same by hand: weirbook run -p %s %s\n", filepath.ToSlash(filepath.Join(out, "plant")), filepath.ToSlash(filepath.Join(out, "exports")))
			return nil
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "weirbook-demo", "folder for the demo; replaced whole if an earlier demo made it")
	cmd.Flags().IntVar(&years, "years", 0, "years of exports instead of a month, and the review of them")
	return cmd
}

// stageYears writes years of exports and the review of them into a stage.
func stageYears(cmd *cobra.Command, st *reports.Stage, years int) (*analysis.ReviewResult, error) {
	files, err := examples.Years(examples.DemoSeed, years)
	if err != nil {
		return nil, usageError{err}
	}
	var texts []ready.Text
	var exports []export.File
	told := progressOf(cmd)
	defer told.finish()
	for i, f := range files {
		told.set("making exports", int64(i), int64(len(files)), progressbar.OptionShowCount())
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return nil, err
		}
		if err := st.WriteFile(f.Name, b.Bytes()); err != nil {
			return nil, err
		}
		if strings.HasPrefix(f.Name, "exports/") {
			exports = append(exports, export.File{Name: f.Name, Size: int64(b.Len()), Open: func() (io.ReadCloser, error) { return st.Open(f.Name) }})
		} else {
			texts = append(texts, ready.Text{Name: f.Name, Data: b.Bytes()})
		}
	}
	in, err := ready.Input(texts, nil)
	if err != nil {
		return nil, err
	}
	in.Files, in.Hash, in.Progress = exports, true, told.reading()
	r, err := analysis.Review(cmd.Context(), in, 0, 0, review.BySeason)
	if err != nil {
		return nil, err
	}
	return r, reports.StageReview(st, "report/", r, version(), told.drawing)
}

// stageDemo writes the demo's files and the run on its exports into a stage.
func stageDemo(cmd *cobra.Command, st *reports.Stage) (*analysis.Result, error) {
	files, err := examples.Demo(examples.DemoSeed)
	if err != nil {
		return nil, err
	}
	texts, err := ready.Write(files)
	if err != nil {
		return nil, err
	}
	for _, t := range texts {
		if err := st.WriteFile(t.Name, t.Data); err != nil {
			return nil, err
		}
	}
	in, err := ready.Input(texts, nil)
	if err != nil {
		return nil, err
	}
	told := progressOf(cmd)
	defer told.finish()
	in.Hash, in.Progress = true, told.reading()
	r, err := analysis.Run(cmd.Context(), in)
	if err != nil {
		return nil, err
	}
	return r, reports.StageRun(st, "report/", r, version(), "demo", told.drawing)
}
