// Command compare tells whether hourly tables made by different tools from the
// same export agree: the same hours of the same tags, equal counts, and lowest,
// highest and mean equal to 1e-9 of their size.
//
//	go run ./examples/compare one.csv other.csv [another.csv ...]
//
// Every table is held against the first. Exit status 1: they do not agree or
// could not be read.
package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
)

// tolerance is the difference allowed, relative to the greater of 1 and the
// value.
const tolerance = 1e-9

var columns = []string{"tag", "hour", "count", "lowest", "highest", "mean"}

type key struct{ tag, hour string }

// row holds count, lowest, highest and mean.
type row [4]float64

// read reads an hourly table. It refuses another heading, a cell that is not a
// number, and an hour of a tag that stands there twice.
func read(r io.Reader) (map[key]row, error) {
	cr := csv.NewReader(r)
	head, err := cr.Read()
	if err != nil {
		return nil, err
	}
	if !slices.Equal(head, columns) {
		return nil, fmt.Errorf("columns %q, not %q", head, columns)
	}
	table := map[key]row{}
	for {
		cells, err := cr.Read()
		if err == io.EOF {
			return table, nil
		}
		if err != nil {
			return nil, err
		}
		k := key{cells[0], cells[1]}
		if _, ok := table[k]; ok {
			return nil, fmt.Errorf("%s %s stands twice", k.tag, k.hour)
		}
		var v row
		for i, cell := range cells[2:] {
			if v[i], err = strconv.ParseFloat(cell, 64); err != nil {
				return nil, fmt.Errorf("%s %s, %s: %w", k.tag, k.hour, columns[2+i], err)
			}
		}
		table[k] = v
	}
}

// differ gives the greatest relative difference of two tables, and an error that
// names one place where they do not agree.
func differ(a, b map[key]row) (greatest float64, err error) {
	if len(a) != len(b) {
		return 0, fmt.Errorf("%d rows and %d", len(a), len(b))
	}
	for k, x := range a {
		y, ok := b[k]
		if !ok {
			return greatest, fmt.Errorf("%s %s is missing", k.tag, k.hour)
		}
		for i := range x {
			d := math.Abs(x[i]-y[i]) / max(1, math.Abs(x[i]), math.Abs(y[i]))
			// Put so that NaN does not agree.
			if i == 0 && x[i] != y[i] || !(d <= tolerance) {
				return greatest, fmt.Errorf("%s %s, %s: %v and %v", k.tag, k.hour, columns[2+i], x[i], y[i])
			}
			greatest = max(greatest, d)
		}
	}
	return greatest, nil
}

func run(paths []string, out io.Writer) error {
	if len(paths) < 2 {
		return fmt.Errorf("name two tables or more")
	}
	var first map[key]row
	for i, p := range paths {
		f, err := os.Open(p)
		if err != nil {
			return err
		}
		table, err := read(f)
		f.Close()
		if err != nil {
			return fmt.Errorf("%s: %w", p, err)
		}
		if i == 0 {
			if len(table) == 0 {
				return fmt.Errorf("%s holds no row", p)
			}
			first = table
			continue
		}
		d, err := differ(first, table)
		if err != nil {
			return fmt.Errorf("%s and %s do not agree: %w", paths[0], p, err)
		}
		fmt.Fprintf(out, "%s agrees with %s in %d rows; greatest relative difference %.1e\n", p, paths[0], len(table), d)
	}
	return nil
}

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "compare:", err)
		os.Exit(1)
	}
}
