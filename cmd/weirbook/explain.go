package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis/contact"
	"weirbook/analysis/formula"
	"weirbook/analysis/loading"
	"weirbook/analysis/orp"
	"weirbook/analysis/review"
	"weirbook/analysis/speciation"
)

func newExplainCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [QUANTITY]",
		Short: "Formula, constants and sources, from the code's own list",
		Long: `Explain prints how a quantity is computed: the formula, its constants, units,
where it holds, and the source with its mark. Without a quantity it lists all.`,
		Example: "  weirbook explain\n  weirbook explain pounds\n  weirbook explain \"contact time\"",
		RunE: func(cmd *cobra.Command, args []string) error {
			all := formulas()
			out := cmd.OutOrStdout()
			if len(args) == 0 {
				return listFormulas(out, all)
			}
			q := strings.Join(args, " ")
			found := formula.Find(all, q)
			if len(found) == 0 {
				return usageError{fmt.Errorf("nothing is computed under %q; it explains %s", q, strings.Join(formula.Quantities(all), ", "))}
			}
			return printFormulas(out, found)
		},
	}
}

// formulas gathers the lists of the packages that compute.
func formulas() []formula.Entry {
	var all []formula.Entry
	all = append(all, loading.Formulas()...)
	all = append(all, contact.Formulas()...)
	all = append(all, review.Formulas()...)
	all = append(all, speciation.Formulas()...)
	all = append(all, orp.Formulas()...)
	return all
}

func listFormulas(out io.Writer, es []formula.Entry) error {
	width := 0
	for _, e := range es {
		width = max(width, len([]rune(e.Quantity)))
	}
	var b strings.Builder
	for _, e := range es {
		fmt.Fprintf(&b, "%-*s  %s\n", width, e.Quantity, e.Title)
	}
	b.WriteString("\n\"weirbook explain QUANTITY\" tells one of them.\n")
	_, err := io.WriteString(out, b.String())
	return err
}

func printFormulas(out io.Writer, es []formula.Entry) error {
	var b strings.Builder
	for i, e := range es {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "%s\n\n", e.Title)
		for _, l := range strings.Split(e.Formula, "\n") {
			fmt.Fprintf(&b, "    %s\n", l)
		}
		b.WriteString("\n")
		for _, c := range e.Constants {
			fmt.Fprintf(&b, "  constant  %s\n", c)
		}
		for _, x := range [][2]string{{"units", e.Units}, {"valid", e.Valid}, {"source", e.Source}, {"mark", string(e.Mark)}} {
			if x[1] != "" {
				fmt.Fprintf(&b, "  %-8s  %s\n", x[0], x[1])
			}
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}
