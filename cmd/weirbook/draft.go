package main

import (
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
)

func newDraftCmd() *cobra.Command {
	var dir, zone, name string
	cmd := &cobra.Command{
		Use:   "draft EXPORT... -o PLANT",
		Short: "A starter plant description from what the exports hold, with questions",
		Long: `Looks at exports and writes a first plant.toml and tags.csv: what each tag
probably measures, where, in which unit and span, with the reasons in the note
column and a question (CHECK) where it cannot tell. It overwrites nothing.`,
		Args: atLeast(1, "at least one export"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if dir == "" {
				return usageError{errors.New("draft: name the folder to write with -o")}
			}
			opt := export.Options{Looks: true}
			if zone != "" {
				loc, err := time.LoadLocation(zone)
				if err != nil || zone == "Local" {
					return usageError{fmt.Errorf("--time-zone %s is no time zone; write one such as America/Denver", zone)}
				}
				opt.Zone = loc
			}
			for _, n := range []string{plantFile, tagsFile} {
				if p := filepath.Join(dir, n); exists(p) {
					return fmt.Errorf("%s is there already and draft overwrites nothing; name another folder with -o", filepath.ToSlash(p))
				}
			}
			files, err := findExports(args)
			if err != nil {
				return err
			}
			show, finish := readingBar(cmd.ErrOrStderr())
			opt.Progress = show
			r, err := export.Read(cmd.Context(), files, opt)
			finish()
			if err != nil {
				return err
			}
			if len(r.Tags) == 0 {
				for _, m := range r.Messages {
					fmt.Fprintf(cmd.ErrOrStderr(), "weirbook: %s: %s\n", m.File, m.Text)
				}
				return errors.New("no tag with a reading was found in the exports; nothing was written")
			}
			d := draft.Make(r, draft.Options{PlantName: name, ZoneName: zone})
			if err := writeDraft(dir, d); err != nil {
				return err
			}
			return tellDraft(cmd.OutOrStdout(), dir, d, args)
		},
	}
	cmd.Flags().StringVarP(&dir, "out", "o", "", "folder to write the plant description into")
	cmd.Flags().StringVar(&zone, "time-zone", "", "the plant's time zone, such as America/Denver")
	cmd.Flags().StringVar(&name, "name", "", "the plant's name")
	return cmd
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// writeDraft writes both files or neither, and never over another.
func writeDraft(dir string, d *draft.Draft) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("%s: cannot be made: %w", filepath.ToSlash(dir), reason(err))
	}
	var made []string
	for _, f := range []struct {
		name string
		body []byte
	}{{plantFile, d.PlantTOML}, {tagsFile, d.TagsCSV}} {
		p := filepath.Join(dir, f.name)
		w, err := os.OpenFile(p, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			made = append(made, p)
			_, err = w.Write(f.body)
			err = errors.Join(err, w.Close())
		}
		if err != nil {
			for _, m := range made {
				os.Remove(m)
			}
			return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(p), reason(err))
		}
	}
	return nil
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
Wrote %[1]s/%[2]s and %[1]s/%[3]s. Everything in them is a guess for you to correct:
  1. open %[1]s/%[3]s in a spreadsheet and read the notes, above all those with CHECK
  2. answer the lines with a question mark in %[1]s/%[2]s; the basin's volume first, contact time needs it
  3. weirbook check -p %[5]s %[4]s
  4. weirbook run -p %[5]s %[4]s
`, dir, plantFile, tagsFile, exports, typed)
	return err
}

// quoted puts a path with blanks between quotes, as it must be typed.
func quoted(path string) string {
	if strings.ContainsAny(path, " \t&()'") {
		return `"` + path + `"`
	}
	return path
}
