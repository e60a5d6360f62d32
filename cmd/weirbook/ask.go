package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/text/encoding/unicode"

	"weirbook/analysis/export/draft"
	"weirbook/analysis/plant"
)

func newAskCmd() *cobra.Command {
	var j job
	var answers string
	cmd := &cobra.Command{
		Use:   "ask -p PLANT",
		Short: "The open questions of a drafted plant, one by one",
		Long: `Puts the questions that stand open in a plant's tags.csv (CHECK in the note) and
plant.toml (a question mark) one by one, with what is known beside each, and
writes the answers into the two files; what else stands in them stays. Enter
leaves a question open, q ends. What a first report needs comes first; limits of
the permit and the like come last.

With --answers the answers come from a file, a line each: the question's key as
ask shows it in brackets, a colon, and the number of a choice or what is to be
written. Without a terminal they are read line by line from the input.`,
		Example: `  weirbook ask -p myplant
  weirbook ask -p myplant --answers answers.txt`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				if _, err := findExports(args); err != nil { // taken as the other commands take them, though the notes hold what ask needs
					return err
				}
			}
			if j.dir() == "" {
				return usageError{errors.New("name the plant's folder with -p; \"weirbook draft\" makes one from exports")}
			}
			a, err := newAsker(j.dir())
			if err != nil {
				return err
			}
			if answers != "" {
				f, err := os.Open(answers)
				if err != nil {
					return fmt.Errorf("%s: cannot be opened: %w", filepath.ToSlash(answers), reason(err))
				}
				defer f.Close()
				if err := a.fromFile(filepath.ToSlash(answers), f); err != nil {
					return err
				}
			} else if err := a.talk(cmd.InOrStdin(), cmd.OutOrStdout()); err != nil {
				return err
			}
			return a.write(cmd.OutOrStdout())
		},
	}
	cmd.Flags().StringVarP(&j.plantDir, "plant", "p", "", "the plant's folder, holding plant.toml and tags.csv")
	cmd.Flags().StringVar(&answers, "answers", "", "file of answers, a line each: key: answer")
	return cmd
}

// asker holds a plant's files while they are asked about.
type asker struct {
	dir           string
	before, files draft.Files
	answered      int
}

func newAsker(dir string) (*asker, error) {
	a := &asker{dir: dir}
	for name, to := range map[string]*[]byte{plantFile: &a.files.Plant, tagsFile: &a.files.Tags} {
		p := filepath.Join(dir, name)
		b, err := os.ReadFile(p)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be opened: %w; a plant's folder holds %s and %s", filepath.ToSlash(p), reason(err), plantFile, tagsFile)
		}
		*to = b
	}
	a.before = a.files
	// What a spreadsheet saved as "Unicode text" is written back as UTF-8, which it opens as well.
	if head := a.files.Tags; bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) {
		text, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(head)
		if err != nil {
			return nil, fmt.Errorf("%s: neither UTF-8 nor UTF-16: %w", filepath.ToSlash(filepath.Join(dir, tagsFile)), err)
		}
		a.files.Tags = append([]byte("\ufeff"), text...)
		a.before.Tags = a.files.Tags
	}
	return a, a.loads(a.files)
}

// loads says whether files are a plant's description.
func (a *asker) loads(f draft.Files) error {
	_, err := plant.Load(filepath.ToSlash(filepath.Join(a.dir, plantFile)), bytes.NewReader(f.Plant), filepath.ToSlash(filepath.Join(a.dir, tagsFile)), bytes.NewReader(f.Tags))
	return err
}

func (a *asker) open() ([]draft.Open, error) {
	qs, err := draft.OpenQuestions(a.files)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.ToSlash(filepath.Join(a.dir, tagsFile)), err)
	}
	return qs, nil
}

// take writes an answer into the files, if the plant still loads with it.
func (a *asker) take(q draft.Open, answer string) error {
	f, err := q.Answer(a.files, answer)
	if err != nil {
		return err
	}
	if err := a.loads(f); err != nil {
		return err
	}
	a.files = f
	a.answered++
	return nil
}

// fromFile takes the answers of a file.
func (a *asker) fromFile(name string, r io.Reader) error {
	var errs []error
	in := bufio.NewScanner(r)
	for line := 1; in.Scan(); line++ {
		text := strings.TrimSpace(strings.TrimPrefix(in.Text(), "\ufeff"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		key, answer, ok := strings.Cut(text, ": ")
		if !ok {
			errs = append(errs, fmt.Errorf("%s:%d: write a question's key, a colon and the answer", name, line))
			continue
		}
		qs, err := a.open()
		if err != nil {
			return err
		}
		k := slices.IndexFunc(qs, func(q draft.Open) bool { return strings.EqualFold(q.Key, key) })
		if k < 0 {
			var keys []string
			for _, q := range qs {
				keys = append(keys, q.Key)
			}
			errs = append(errs, fmt.Errorf("%s:%d: no question %q stands open%s", name, line, key, nearestWord(key, keys)))
			continue
		}
		if err := a.take(qs[k], answer); err != nil {
			errs = append(errs, fmt.Errorf("%s:%d: %s: %w", name, line, qs[k].Key, err))
		}
	}
	return errors.Join(append(errs, in.Err())...)
}

// talk puts the questions one by one.
func (a *asker) talk(r io.Reader, w io.Writer) error {
	in := bufio.NewScanner(r)
	left := map[string]bool{} // open by wish
	told := false
	for n := 1; ; n++ {
		qs, err := a.open()
		if err != nil {
			return err
		}
		qs = slices.DeleteFunc(qs, func(q draft.Open) bool { return left[q.Key] })
		if len(qs) == 0 {
			return nil
		}
		q := qs[0]
		if q.Optional && !told {
			told = true
			fmt.Fprintf(w, "\nA first report needs no more. %d more are about the permit and the rest; q ends.\n", len(qs))
		}
		fmt.Fprintf(w, "\n%d. %s  [%s]\n", n, q.Text, q.Key)
		for _, l := range q.About {
			fmt.Fprintf(w, "     %s\n", l)
		}
		for i, c := range q.Choices {
			mark := ""
			if i == 0 {
				mark = "   (the guess)"
			}
			fmt.Fprintf(w, "  %d  %s%s\n", i+1, c, mark)
		}
		for {
			fmt.Fprint(w, "> ")
			if !in.Scan() {
				fmt.Fprintln(w)
				return in.Err()
			}
			answer := strings.TrimSpace(in.Text())
			if answer == "" {
				left[q.Key] = true
				break
			}
			if strings.EqualFold(answer, "q") {
				return nil
			}
			err := a.take(q, answer)
			if err == nil {
				break
			}
			fmt.Fprintf(w, "  %v\n", err)
		}
	}
}

// write puts what changed in place.
func (a *asker) write(w io.Writer) error {
	for _, f := range []struct {
		name         string
		before, body []byte
	}{{tagsFile, a.before.Tags, a.files.Tags}, {plantFile, a.before.Plant, a.files.Plant}} {
		if bytes.Equal(f.before, f.body) {
			continue
		}
		p := filepath.Join(a.dir, f.name)
		if err := replaceFile(p, f.body); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(p), err)
		}
	}
	qs, err := a.open()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%d answered; %d open, %d of them that a first report wants.\nNext: weirbook check -p %s\n", a.answered, len(qs), len(wanted(qs)), quoted(filepath.ToSlash(a.dir)))
	return err
}

// wanted are the questions that a first report wants answered.
func wanted(qs []draft.Open) []draft.Open {
	return slices.DeleteFunc(slices.Clone(qs), func(q draft.Open) bool { return q.Optional })
}

// tellOpen says which questions still stand open in a plant's files: what rests on
// them rests on guesses.
func tellOpen(w io.Writer, dir string) error {
	a, err := newAsker(dir)
	if err != nil {
		return err
	}
	qs, err := a.open()
	if err != nil {
		return err
	}
	if qs = wanted(qs); len(qs) == 0 {
		return nil
	}
	questions := "1 question stands"
	if len(qs) > 1 {
		questions = fmt.Sprintf("%d questions stand", len(qs))
	}
	fmt.Fprintf(w, "\n%s open in the plant's files; what hangs on them is left out or rests on a guess:\n", questions)
	for _, q := range qs {
		fmt.Fprintf(w, "  %s: %s\n", q.Key, q.Text)
	}
	_, err = fmt.Fprintf(w, "weirbook ask -p %s puts them one by one.\n", quoted(filepath.ToSlash(dir)))
	return err
}
