// Package examples holds the invented plants that come with the program: their
// descriptions, and the exports and truth that package simulate makes for them.
// Everything is made when asked for; nothing is read from disk, so that the
// demo works from the bare program.
package examples

import (
	"embed"
	"fmt"
	"io"
	"io/fs"
	"time"

	"weirbook/examples/simulate"
)

//go:embed alder-flats two-trains
var plants embed.FS

// DemoSeed is the seed of the demo as documented and tested.
const DemoSeed = 26

// DemoName is the folder and short name of the demo plant.
const DemoName = "alder-flats"

// File is one file of an example.
type File struct {
	Name  string // with forward slashes, such as "exports/process.csv"
	Write func(io.Writer) error
}

// Demo gives the files of the demo: the plant description under plant/, the
// exports under exports/, and what really happened under truth/. The same seed
// gives the same bytes.
func Demo(seed uint64) ([]File, error) {
	m, err := simulate.Run(simulate.DemoConfig(seed))
	if err != nil {
		return nil, err
	}
	return append(plantFiles(DemoName), monthFiles(m)...), nil
}

// Month gives the files of one of simulate.NamedMonths at the demo plant.
func Month(name string) ([]File, error) {
	var names []string
	for _, nm := range simulate.NamedMonths() {
		if nm.Name == name {
			m, err := simulate.Run(nm.Config)
			if err != nil {
				return nil, err
			}
			return append(plantFiles(DemoName), monthFiles(m)...), nil
		}
		names = append(names, nm.Name)
	}
	return nil, fmt.Errorf("no example month %q; there are %v", name, names)
}

// TwoTrains gives the files of the plant with two trains and two control
// systems, one of whose clocks stayed on winter time.
func TwoTrains(seed uint64) ([]File, error) {
	t, err := simulate.TwoTrains(seed)
	if err != nil {
		return nil, err
	}
	return append(plantFiles("two-trains"), []File{
		{"exports/fixed-film-2026-03.csv", t.WriteFixedFilm},
		{"exports/membrane-2026-03.csv", t.WriteMembrane},
		{"exports/lab-2026-03.csv", t.WriteLab},
		{"truth/truth_events.csv", t.WriteTruthEvents},
		{"truth/truth_hourly_fixed_film.csv", t.FixedFilm.WriteTruthHourly},
		{"truth/truth_hourly_membrane.csv", t.Membrane.WriteTruthHourly},
		{"truth/truth_hourly_outfall.csv", t.WriteTruthOutfall},
	}...), nil
}

// plantFiles gives the embedded description of a plant.
func plantFiles(plant string) []File {
	var out []File
	for _, name := range []string{"plant.toml", "tags.csv"} {
		out = append(out, File{Name: "plant/" + name, Write: func(w io.Writer) error {
			b, err := fs.ReadFile(plants, plant+"/"+name)
			if err != nil {
				return err
			}
			_, err = w.Write(b)
			return err
		}})
	}
	return out
}

// monthFiles gives the exports of a month as two control systems and a
// laboratory would hand them over, and the truth beside them.
func monthFiles(m *simulate.Month) []File {
	long := simulate.Export{Tags: m.SourceTags(simulate.SourceProcess), Changes: true}
	wide := simulate.Export{Tags: m.SourceTags(simulate.SourceAnalysers)}
	span := label(m)
	return []File{
		{"exports/process-" + span + ".csv", func(w io.Writer) error { return m.WriteLong(w, long) }},
		{"exports/analysers-" + span + ".csv", func(w io.Writer) error { return m.WriteWide(w, wide) }},
		{"exports/lab-" + span + ".csv", m.WriteLab},
		{"truth/truth_events.csv", m.WriteTruthEvents},
		{"truth/truth_hourly.csv", m.WriteTruthHourly},
	}
}

// label is the month that most of the days lie in, as 2026-03.
func label(m *simulate.Month) string {
	return time.Unix(m.Start+60*int64(m.N/2), 0).In(m.Loc).Format("2006-01")
}
