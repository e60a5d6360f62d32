package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"weirbook/analysis/export"
	"weirbook/analysis/export/draft"
	"weirbook/reports/sparks"
)

func newDraftCmd() *cobra.Command {
	var dir, zone, name, chart string
	cmd := &cobra.Command{
		Use:   "draft EXPORT... -o PLANT",
		Short: "A starter plant description from what the exports hold, with questions",
		Long: `Looks at exports and writes a first plant.toml and tags.csv: what each tag
probably measures, where, in which unit and span, with the reasons in the note
column and a question (CHECK) where it cannot tell. It overwrites nothing.`,
		Example: `  weirbook draft exports -o myplant --time-zone America/Denver --name "Elder Ford"
  weirbook draft exports/*.csv -o -          # tags.csv to a pipe, nothing written`,
		Args: atLeast(1, "at least one export"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if dir == "" {
				return usageError{errors.New("draft: name the folder to write with -o")}
			}
			opt := export.Options{Looks: true}
			if zone != "" {
				loc, err := draft.Zone(zone)
				if err != nil {
					return usageError{fmt.Errorf("--time-zone: %w", err)}
				}
				opt.Zone, zone = loc, loc.String()
			}
			// One of the two alone may be of a draft that was cut off: see writeDraft.
			if pt, tg := filepath.Join(dir, plantFile), filepath.Join(dir, tagsFile); dir != "-" && exists(pt) && exists(tg) {
				return alreadyThere(pt)
			}
			files, err := findExports(args)
			if err != nil {
				return err
			}
			told := progressOf(cmd)
			opt.Progress = told.reading()
			r, err := export.Read(cmd.Context(), files.files, opt)
			told.finish()
			if err != nil {
				return err
			}
			r.Messages = append(files.notRead, r.Messages...)
			if len(r.Tags) == 0 {
				for _, m := range r.Messages {
					fmt.Fprintf(cmd.ErrOrStderr(), "weirbook: %s: %s\n", m.File, m.Text)
				}
				return errors.New("no tag with a reading was found in the exports; nothing was written")
			}
			d := draft.Make(r, draft.Options{PlantName: name, ZoneName: zone})
			if chart != "" {
				if err := writeCharts(chart, "What each tag was taken for", cmp.Or(opt.Zone, time.UTC), draftRows(d, r)); err != nil {
					return err
				}
			}
			if dir == "-" {
				if _, err := cmd.OutOrStdout().Write(d.TagsCSV); err != nil {
					return err
				}
				return readWhole(cmd, r)
			}
			for _, f := range draftFiles(dir, d, args) {
				if p := filepath.Join(dir, f.name); exists(p) && !same(p, f.body) {
					return alreadyThere(p)
				}
			}
			if err := writeDraft(dir, draftFiles(dir, d, args)); err != nil {
				return err
			}
			if err := tellDraft(cmd.OutOrStdout(), dir, d, args); err != nil {
				return err
			}
			return readWhole(cmd, r)
		},
	}
	cmd.Flags().StringVarP(&dir, "out", "o", "", "folder to write the plant description into; - prints tags.csv")
	cmd.Flags().StringVar(&zone, "time-zone", "", "the plant's time zone, such as America/Denver")
	cmd.Flags().StringVar(&name, "name", "", "the plant's name")
	chartFlag(cmd, &chart)
	return cmd
}

// draftRows are the rows of a draft's page of charts.
func draftRows(d *draft.Draft, r *export.Result) []sparks.Row {
	var rows []sparks.Row
	for _, g := range d.Guesses {
		rows = append(rows, sparks.Row{Tag: g.Tag, Taken: fmt.Sprintf("%s at %s, %s", g.Measures, g.At, g.Reading), Ask: g.Ask, Unit: g.Unit, Series: r.Series[g.Tag]})
	}
	return rows
}

func alreadyThere(path string) error {
	return fmt.Errorf("%s is there already and draft overwrites nothing; name another folder with -o", filepath.ToSlash(path))
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

type draftFile struct {
	name string
	body []byte
}

func draftFiles(dir string, d *draft.Draft, exports []string) []draftFile {
	return []draftFile{{plantFile, d.PlantTOML}, {tagsFile, d.TagsCSV}, {logFile, draft.LogCSV()}, {defaultsFile, defaultsTOML(dir, exports)}}
}

// writeDraft writes all files or none, and never over another. A draft that was
// cut off between the two is gone on with, if it is the same.
func writeDraft(dir string, files []draftFile) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("%s: cannot be made: %w", filepath.ToSlash(dir), reason(err))
	}
	var made []string
	undo := func(err error, name string) error {
		for _, m := range made {
			os.Remove(m)
		}
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(filepath.Join(dir, name)), reason(err))
	}
	// Whole under another name first: the two names then appear at once.
	temp := map[string]string{}
	for _, f := range files {
		t := filepath.Join(dir, "."+f.name+".weirbook-new")
		made = append(made, t)
		if err := writeSynced(t, f.body); err != nil {
			return undo(err, f.name)
		}
		temp[f.name] = t
	}
	for _, f := range files {
		p := filepath.Join(dir, f.name)
		if same(p, f.body) {
			os.Remove(temp[f.name])
			continue
		}
		if exists(p) {
			return undo(fs.ErrExist, f.name)
		}
		if err := os.Rename(temp[f.name], p); err != nil {
			return undo(err, f.name)
		}
		made = append(made, p)
	}
	return nil
}

func writeSynced(path string, body []byte) error {
	w, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	_, err = w.Write(body)
	return errors.Join(err, w.Sync(), w.Close())
}

func same(path string, body []byte) bool {
	was, err := os.ReadFile(path)
	return err == nil && bytes.Equal(was, body)
}

// tellDraft says what was guessed, what is asked, and what to type next.
func tellDraft(out io.Writer, dir string, d *draft.Draft, args []string) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "tag\tmeasures\tat\tunit\treading\t")
	for _, g := range d.Guesses {
		mark := ""
		if g.Ask != "" {
			mark = "CHECK"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", g.Tag, g.Measures, g.At, g.Unit, g.Reading, mark)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if len(d.Questions) > 0 {
		word := "questions"
		if len(d.Questions) == 1 {
			word = "question"
		}
		fmt.Fprintf(out, "\n%d %s:\n", len(d.Questions), word)
		for _, q := range d.Questions {
			fmt.Fprintf(out, "  %s\n", q)
		}
	}
	dir = filepath.ToSlash(dir)
	exports := "EXPORT..."
	if len(args) == 1 {
		exports = quoted(filepath.ToSlash(args[0]))
	}
	typed := quoted(dir)
	_, err := fmt.Fprintf(out, `
Wrote %[1]s/%[2]s and %[1]s/%[3]s, an empty %[1]s/%[6]s for what only people know, and %[1]s/%[7]s.
Everything in them is a guess for you to correct:
  1. weirbook ask -p %[5]s
     puts the open questions one by one and writes your answers into the files; or correct them
     in a spreadsheet (the notes with CHECK) and an editor (the lines with a question mark)
  2. weirbook check -p %[5]s %[4]s
  3. weirbook run -p %[5]s %[4]s
`, dir, plantFile, tagsFile, exports, typed, logFile, defaultsFile)
	return err
}

// quoted puts a path with blanks between quotes, as it must be typed.
func quoted(path string) string {
	if strings.ContainsAny(path, " \t&()'") {
		return `"` + path + `"`
	}
	return path
}
