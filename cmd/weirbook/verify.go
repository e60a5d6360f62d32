package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/analysis/review"
	"weirbook/reports"
)

func newVerifyCmd() *cobra.Command {
	var j job
	cmd := &cobra.Command{
		Use:   "verify REPORT [-p PLANT EXPORT...]",
		Short: "Is a report as it was written, and do the exports still give the same bytes?",
		Long: `Holds a report's files against the hashes in its run.json. With the plant's folder
and the exports at hand it holds those against run.json, too, makes the report
again in a folder that it takes away afterwards, and compares every file. It
changes nothing. Exit status 3 says that something differs.`,
		Example: "  weirbook verify march-report -p alder-creek exports/*.csv",
		Args:    atLeast(1, "the report's folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			rec, err := reports.ReadRecord(args[0])
			if err != nil {
				return err
			}
			v := verification{out: cmd.OutOrStdout(), rec: rec}
			changed, err := rec.Changed()
			if err != nil {
				return err
			}
			v.tell(fmt.Sprintf("The report's %d files are as they were written.", len(rec.Files)), "The report's folder:", changed)
			if j.plantDir == "" && len(args) == 1 {
				fmt.Fprintln(v.out, "Name the plant with -p and the exports to have it made again.")
				return v.done()
			}
			in, err := v.inputs(&j, cmd, args[1:])
			if err != nil {
				return err
			}
			if v.differs > 0 {
				fmt.Fprintln(v.out, "The report is not made again: its inputs are not those that it was made from.")
				return v.done()
			}
			again, err := v.again(cmd, in)
			if err != nil {
				return err
			}
			if was, is := rec.Version, version(); was != is {
				fmt.Fprintf(v.out, "The report was made by version %s; this is %s.\n", was, is)
			}
			v.tell("Made again, every file has the same bytes.", "Made again:", rec.Differs(again))
			return v.done()
		},
	}
	cmd.Flags().StringVarP(&j.plantDir, "plant", "p", "", "the plant's folder, holding plant.toml and tags.csv")
	return cmd
}

// verification tells what holds and counts what does not.
type verification struct {
	out     io.Writer
	rec     *reports.Record
	differs int
}

func (v *verification) tell(good, bad string, lines []string) {
	if len(lines) == 0 {
		fmt.Fprintln(v.out, good)
		return
	}
	v.differs += len(lines)
	fmt.Fprintln(v.out, bad)
	for _, l := range lines {
		fmt.Fprintln(v.out, "  "+l)
	}
}

func (v *verification) done() error {
	if v.differs > 0 {
		return differsError{v.differs}
	}
	return nil
}

// differsError ends a verification that found differences.
type differsError struct{ count int }

func (e differsError) Error() string {
	if e.count == 1 {
		return "1 difference"
	}
	return fmt.Sprintf("%d differences", e.count)
}

// inputs holds the plant's files and the exports against the record, and gives the
// exports under the names that they had.
func (v *verification) inputs(j *job, cmd *cobra.Command, args []string) (analysis.Input, error) {
	in, err := j.input(cmd, args)
	if err != nil {
		return in, err
	}
	wrong := v.described(in.Plant)
	byHash := map[string][]export.File{}
	found := in.Files
	in.Files = nil
	for _, f := range found {
		sum, err := hashOf(f)
		if err != nil {
			return in, fmt.Errorf("%s: %w", f.Name, err)
		}
		byHash[sum] = append(byHash[sum], f)
	}
	taken := map[string]bool{}
	for _, x := range v.rec.Inputs {
		name := x.File
		if x.Archive != "" {
			name = x.Archive
		}
		if taken[name] || x.SHA256 == "" {
			continue
		}
		taken[name] = true
		same := byHash[x.SHA256]
		if len(same) == 0 {
			wrong = append(wrong, name+" is not among the exports, or not as it was")
			continue
		}
		f := same[0]
		if len(same) > 1 {
			byHash[x.SHA256] = same[1:]
		}
		f.Name = name
		in.Files = append(in.Files, f)
	}
	v.tell("The plant's files and the exports are those that it was made from.", "The inputs:", wrong)
	return in, nil
}

// described holds the plant's own files, its logs among them, against the record.
func (v *verification) described(p *plant.Plant) (wrong []string) {
	have := map[string]plant.File{}
	for _, f := range p.Files {
		have[f.Name] = f
	}
	for _, f := range v.rec.Described {
		now, ok := have[f.Name]
		delete(have, f.Name)
		if !ok || now.SHA256 != f.SHA256 {
			wrong = append(wrong, f.Name+" of the plant is not the one that the report was made with")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(have)) {
		wrong = append(wrong, name+" was not there when the report was made")
	}
	return wrong
}

func hashOf(f export.File) (string, error) {
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer r.Close()
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// again makes the report in a folder of its own, which is gone afterwards, and gives
// its record.
func (v *verification) again(cmd *cobra.Command, in analysis.Input) (*reports.Record, error) {
	temp, err := os.MkdirTemp("", "weirbook-verify-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(temp)
	dir := filepath.Join(temp, "report")
	from, err1 := askedTime(v.rec.Asked.From)
	to, err2 := askedTime(v.rec.Asked.To)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	switch v.rec.Command {
	case "run", "demo":
		in.From, in.To = from, to
		r, err := analysis.Run(cmd.Context(), in)
		if err != nil {
			return nil, err
		}
		err = reports.WriteRun(dir, r, v.rec.Version, v.rec.Command, nil)
		if err != nil {
			return nil, err
		}
	case "upset":
		r, err := analysis.Run(cmd.Context(), in)
		if err != nil {
			return nil, err
		}
		us, err := r.ExplainBetween(from, to)
		if err != nil {
			return nil, err
		}
		if err := reports.WriteUpset(dir, r, us, v.rec.Version, nil); err != nil {
			return nil, err
		}
	case "month":
		first := time.UnixMilli(from).In(in.Plant.Zone)
		end := time.UnixMilli(to).In(in.Plant.Zone)
		n := 12*(end.Year()-first.Year()) + int(end.Month()-first.Month())
		rs, err := analysis.Months(cmd.Context(), in, time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, time.UTC), n)
		if err != nil {
			return nil, err
		}
		if err := reports.WriteMonths(dir, rs, v.rec.Version, nil); err != nil {
			return nil, err
		}
	case "review":
		in.From, in.To = from, to
		var other [2]int64
		if a, b, ok := strings.Cut(v.rec.Setting("compare"), " to "); ok {
			other[0], err1 = askedTime(a)
			other[1], err2 = askedTime(b)
			if err := errors.Join(err1, err2); err != nil {
				return nil, err
			}
		}
		r, err := analysis.Review(cmd.Context(), in, other[0], other[1], review.Grouping(v.rec.Setting("by")))
		if err != nil {
			return nil, err
		}
		if err := reports.WriteReview(dir, r, v.rec.Version, nil); err != nil {
			return nil, err
		}
	default:
		return nil, fmt.Errorf("%s: made by %q, which verify cannot make again", v.rec.Dir, v.rec.Command)
	}
	return reports.ReadRecord(dir)
}

// askedTime reads a moment of run.json; 0 for an end that was open.
func askedTime(s string) (int64, error) {
	if s == "" {
		return 0, nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return 0, fmt.Errorf("run.json: %w", err)
	}
	return t.UnixMilli(), nil
}
