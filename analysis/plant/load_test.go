package plant

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
)

const goodTOML = `name = "Invented plant"
time_zone = "America/Denver"

[[point]]
name = "basin_outlet"
flow_at = "effluent"
basin = "contact_basin"
fraction = 1.0

[[basin]]
name = "contact_basin"
outlet = "basin_outlet"
flow_at = "effluent"
volume = "120,000 gal"
baffling_factor = 0.6
[basin.require]
ct = "30 mg·min/L"
residual = "chlorine_total"
contact_time = "15 min"

[[feed]]
name = "hypo"
chemical = "hypochlorite"
tag = "HYPO"
basin = "contact_basin"
strength = 12.5
strength_as = "trade percent"
`

const goodTags = `tag,measures,at,unit,reading,low,high,note
Q,flow,effluent,gpm,continuous,0,8000,
CL2,chlorine_total,basin_outlet,mg/L,continuous,0,10,
HYPO,hypochlorite_feed,basin_inlet,gal/h,on-change,,,
`

func load(toml, tags string) (*Plant, error) {
	return Load("plant.toml", strings.NewReader(toml), "tags.csv", strings.NewReader(tags))
}

func TestLoadGood(t *testing.T) {
	p, err := load(goodTOML, goodTags)
	require.NoError(t, err)
	b, ok := p.Basin("contact_basin")
	require.True(t, ok)
	require.Equal(t, 120000.0, b.Volume)
	require.Equal(t, 30.0, b.Require.CT)
	require.True(t, math.IsNaN(b.Require.ResidualMin), "nothing asked stays unknown")
	q, ok := p.FlowTag("basin_outlet")
	require.True(t, ok, "the point's flow is found through flow_at")
	require.Equal(t, "Q", q.Name)
	low, high := q.Span()
	require.Zero(t, low)
	require.InDelta(t, 11.52, high, 1e-9) // 8000 gpm x 1440 / 1e6, by definition
	require.Equal(t, "effluent", p.Feeds[0].FlowAt)
}

// Each row breaks the good description in one place and names the message's
// beginning that a person needs: which file, which line, what.
func TestLoadMistakes(t *testing.T) {
	cases := []struct{ name, old, new, want string }{
		{"no zone", `time_zone = "America/Denver"`, ``, `no time_zone`},
		{"bad zone", `America/Denver`, `Mountain`, `plant.toml:2: time_zone = "Mountain" is no time zone`},
		{"syntax", `volume = "120,000 gal"`, `volume = 120,000 gal`, `plant.toml:14:`},
		{"volume without unit", `120,000 gal`, `120,000`, `plant.toml:14: volume: "120,000": no unit given`},
		{"volume in mg/L", `120,000 gal`, `120,000 mg/L`, `plant.toml:14: volume: mg/L cannot be converted to gal`},
		{"misspelt key", `baffling_factor = 0.6`, `bafling_factor = 0.6`, `plant.toml:15: nothing reads the key "basin.bafling_factor"`},
		{"factor", `baffling_factor = 0.6`, `baffling_factor = 6`, `plant.toml:15: baffling_factor = 6 is outside 0.01 to 1`},
		{"two ways", `baffling_factor = 0.6`, "baffling_factor = 0.6\ntanks_in_series = 3", `in 2 ways`},
		{"no flow", `flow_at = "effluent"` + "\nvolume", `flow_at = "influent"` + "\nvolume", `plant.toml:13: basin contact_basin: no tag in tags.csv measures flow`},
		{"strength words", `strength_as = "trade percent"`, ``, `say what strength = 12.5 is`},
		{"feed tag", `tag = "HYPO"`, `tag = "HYPOO"`, `plant.toml:24: feed hypo: tag "HYPOO" is not in tags.csv`},
		{"require", `contact_time = "15 min"`, `contact_time = "15 mg/L"`, `plant.toml:19: require.contact_time: mg/L cannot be converted to min`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, goodTOML, c.old)
			_, err := load(strings.Replace(goodTOML, c.old, c.new, 1), goodTags)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestTagMistakes(t *testing.T) {
	cases := []struct{ name, old, new, want string }{
		{"unknown measurement", "chlorine_total,basin", "chlorine,basin", `tags.csv:3: tag CL2: unknown measurement "chlorine"`},
		{"unknown unit", "gpm", "gpmm", `tags.csv:2: tag Q: unknown unit "gpmm"`},
		{"ORP is no concentration", "CL2,chlorine_total,basin_outlet,mg/L", "CL2,orp,basin_outlet,mg/L", `tags.csv:3: tag CL2: mg/L is not a unit of orp`},
		{"unknown column", "note", "notes", `tags.csv:1: unknown column "notes"`},
		{"missing column", "measures,", "", `tags.csv:1: column "measures" is missing`},
		{"span upside down", "0,8000", "8000,0", `tags.csv:2: tag Q: low 8000 is not below high 0`},
		{"span not a number", "0,8000", "0,eight", `tags.csv:2: tag Q: column high: "eight" is not a number`},
		{"twice", "CL2,", "Q,", `tags.csv:3: tag Q already stands in line 2`},
		{"reading", "on-change", "sometimes", `tags.csv:4: tag HYPO: unknown reading "sometimes"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, goodTags, c.old)
			_, err := load(goodTOML, strings.Replace(goodTags, c.old, c.new, 1))
			require.ErrorContains(t, err, c.want)
		})
	}
}

// A sheet in UTF-8 that a program without the byte order mark to go by
// opened as Windows-1252 and saved again: two letters for each sign.
func TestTagsWithMangledUnits(t *testing.T) {
	sheet := "\xef\xbb\xbftag,measures,at,unit,reading,low,high,note\n" +
		"T,temperature,basin_outlet,Â°C,continuous,0,35,\n" +
		"CL,chlorine_total,outfall,Âµg/L,continuous,0,500,\n" +
		"Q,flow,basin_outlet,mÂ³/d,continuous,0,9000,\n"
	for name, text := range map[string]string{"saved as UTF-8": sheet, "saved as Windows-1252": windows1252(t, sheet)} {
		tags, err := readTags("tags.csv", strings.NewReader(text))
		require.NoError(t, err, name)
		require.Len(t, tags, 3)
		for i, want := range []string{"°C", "µg/L", "m³/d"} {
			require.Equal(t, want, tags[i].Unit.Symbol, name)
		}
		require.InDelta(t, 0.5, tags[1].High, 1e-12) // 500 µg/L in mg/L, by definition
	}
}

func windows1252(t *testing.T, utf8 string) string {
	out, err := charmap.Windows1252.NewEncoder().String(strings.TrimPrefix(utf8, "\ufeff"))
	require.NoError(t, err)
	return out
}

// A sheet saved by a spreadsheet in a comma-decimal country.
func TestTagsFromSpreadsheet(t *testing.T) {
	sheet := "\xef\xbb\xbftag;measures;at;unit;reading;low;high;note\r\n" +
		"T;temperature;basin_outlet;\xb0C;continuous;0,5;35,5;k\xfchl\r\n"
	tags, err := readTags("tags.csv", strings.NewReader(sheet))
	require.NoError(t, err)
	require.Len(t, tags, 1)
	require.Equal(t, 0.5, tags[0].Low)
	require.Equal(t, 35.5, tags[0].High)
	require.Equal(t, "kühl", tags[0].Note)
}

func TestAccuracy(t *testing.T) {
	p, err := load(goodTOML, strings.Replace(goodTags, ",note\n", ",note,accuracy\n", 1)+
		"FRC,chlorine_free,basin_outlet,µg/L,continuous,,,,2 % + 50\n")
	require.NoError(t, err)
	f, _ := p.Tag("FRC")
	require.Equal(t, 2.0, f.Percent)
	require.InDelta(t, 0.05, f.Absolute, 1e-12) // 50 µg/L in mg/L
}

func FuzzLoad(f *testing.F) {
	f.Add(goodTOML, goodTags)
	f.Add("name=", "tag;measures\n")
	f.Add("\"\\", "1")
	f.Fuzz(func(t *testing.T, toml, tags string) {
		p, err := load(toml, tags)
		require.True(t, (p == nil) != (err == nil), "a plant or an error, never both, never neither")
	})
}
