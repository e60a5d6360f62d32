package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/examples"
	"weirbook/examples/ready"
	"weirbook/reports"
)

func newDemoCmd() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "demo [-o DIR]",
		Short: "An invented plant, its exports, and the run on them",
		Long: `Writes a folder with an invented plant's description (plant), a month of its
exports (exports), what really happened (truth), and the report of a run on them
(report). Change plant/tags.csv or an export and run again to see what moves.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			st, err := reports.NewStage(out)
			if err != nil {
				return err
			}
			defer st.Abort()
			r, err := stageDemo(cmd, st)
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
			tell(cmd, r, filepath.Join(out, "report"))
			fmt.Fprintf(cmd.OutOrStdout(), "The same by hand: weirbook run -p %s %s\n", filepath.ToSlash(filepath.Join(out, "plant")), filepath.ToSlash(filepath.Join(out, "exports")))
			return nil
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "weirbook-demo", "folder for the demo; replaced whole if an earlier demo made it")
	return cmd
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
	in.Hash = true
	r, err := analysis.Run(cmd.Context(), in)
	if err != nil {
		return nil, err
	}
	return r, reports.StageRun(st, "report/", r, version(), "demo")
}
