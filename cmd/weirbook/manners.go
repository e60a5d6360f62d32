package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"weirbook/analysis/formula"
	"weirbook/reports/sparks"
)

func newVersionCmd() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "The program's version",
		Example: "  weirbook version",
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprintln(cmd.OutOrStdout(), "weirbook "+version())
			return err
		},
	}
}

// unknownCommand refuses a command that there is not, and suggests one.
func unknownCommand(root *cobra.Command, word string) error {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return usageError{fmt.Errorf("unknown command %q%s", word, nearestWord(word, names))}
}

// unknownFlag adds to the complaint about a flag the one that may be meant.
func unknownFlag(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if hint := nearestWord(unknown.GetSpecifiedName(), names); hint != "" {
			return usageError{fmt.Errorf("%w%s", err, strings.Replace(hint, "mean ", "mean --", 1))}
		}
	}
	return usageError{err}
}

var monthInName = regexp.MustCompile(`20[0-9]{2}-(?:0[1-9]|1[0-2])`)

// complete tells the shell what may follow: folders that hold a plant, words of
// flags, months that the exports' names speak of, and quantities.
func complete(root *cobra.Command) {
	fixed := func(words ...string) cobra.CompletionFunc {
		return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
	}
	for _, c := range root.Commands() {
		for flag, f := range map[string]cobra.CompletionFunc{
			"plant":   plantFolders,
			"fail-on": fixed("notice", "warning", "critical"),
			"month":   months,
		} {
			if c.Flags().Lookup(flag) != nil {
				if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
					panic(err) // a flag with two completions is a slip of ours
				}
			}
		}
		if c.Name() == "explain" {
			c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
				return formula.Quantities(formulas()), cobra.ShellCompDirectiveNoFileComp
			}
		}
	}
}

// plantFolders are those beside us that hold a plant.
func plantFolders(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var out []string
	for _, pattern := range []string{plantFile, "*/" + plantFile, "*/*/" + plantFile} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			continue
		}
		for _, f := range found {
			out = append(out, filepath.ToSlash(filepath.Dir(f)))
		}
	}
	if len(out) == 0 {
		return nil, cobra.ShellCompDirectiveFilterDirs
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// months are those that stand in the names of the exports.
func months(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	j := job{}
	if f := cmd.Flags().Lookup("plant"); f != nil {
		j.plantDir = f.Value.String()
	}
	found, err := j.exports(cmd, args)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var out []string
	for _, f := range found.files {
		out = append(out, monthInName.FindAllString(filepath.Base(f.Name), -1)...)
	}
	slices.Sort(out)
	return slices.Compact(out), cobra.ShellCompDirectiveNoFileComp
}

func chartFlag(cmd *cobra.Command, chart *string) {
	cmd.Flags().StringVar(chart, "chart", "", "also write one page (.html) of small charts, a row a tag with what it was taken for")
}

// writeCharts writes the page of small charts, whole or not at all.
func writeCharts(path, title string, clock *time.Location, rows []sparks.Row) error {
	var b bytes.Buffer
	if err := sparks.Write(&b, title, clock, rows); err != nil {
		return err
	}
	if exists(path) && !ownCharts(path) {
		return fmt.Errorf("%s is there already and is no page of charts that weirbook wrote; name another file with --chart", filepath.ToSlash(path))
	}
	if err := replaceFile(path, b.Bytes()); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(path), err)
	}
	return nil
}

// ownCharts says whether a file is a page of charts that weirbook wrote.
func ownCharts(path string) bool {
	head := make([]byte, 400)
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	n, _ := io.ReadFull(f, head)
	return bytes.Contains(head[:n], []byte(sparks.Mark))
}
