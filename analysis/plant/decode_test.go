package plant

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestSettingsOutOfSenseAreRefused writes what no plant can mean; each message says
// what is sensible.
func TestSettingsOutOfSenseAreRefused(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"gap below zero", "\n[[point]]", "max_gap = \"-5 min\"\n[[point]]", `plant.toml:3: max_gap = "-5 min" is outside 1 s to 31 days`},
		{"gap of years", "\n[[point]]", "max_gap = \"9000 h\"\n[[point]]", `is outside 1 s to 31 days`},
		{"gap as number", "\n[[point]]", "max_gap = 15\n[[point]]", `plant.toml:3: max_gap = 15 is no text; write it between quotation marks`},
		{"no strength", "strength = 12.5", "strength = 0", `plant.toml:26: strength = 0 is outside 0.01 to 1000`},
		{"volume as number", `volume = "120,000 gal"`, "volume = 120000", `plant.toml:14: volume = 120000 has no unit; write it with its unit between quotation marks, as in "10 gal"`},
		{"volume as text without unit", `volume = "120,000 gal"`, "volume = \"120000\"", `(gal, kgal, MG, ft³, m³, L, ML)`},
		{"thousands or decimals", `volume = "120,000 gal"`, "volume = \"152.000 gal\"", `plant.toml:14: volume: "152.000 gal": is that 152,000 gal, or 152?`},
		{"comma before decimals", `volume = "120,000 gal"`, "volume = \"120,5 gal\"", `a comma stands between thousands`},
		{"residual below zero", `ct = "30 mg·min/L"`, `residual_min = "-1 mg/L"`, `plant.toml:17: require.residual_min = "-1 mg/L" is negative`},
		{"not a number", "baffling_factor = 0.6", "baffling_factor = nan", `baffling_factor = NaN is no number`},
		{"list of no words", "[[point]]", "[state_words]\non = [1]\n[[point]]", `plant.toml:5: state_words.on = 1 is no text`},
		{"table as value", "[[point]]", "basin = 3\n[[point]]", `basin`},
		{"whole number", "[[point]]", "[[limit]]\nparameter = \"tss\"\nat = \"effluent\"\nstatistic = \"maximum daily\"\nvalue = 3\nfigures = 2.5\n[[point]]", `figures = 2.5 is no whole number`},
		{"limit below zero", "[[point]]", "[[limit]]\nparameter = \"tss\"\nat = \"effluent\"\nstatistic = \"maximum daily\"\nvalue = -30\n[[point]]", `plant.toml:8: value = -30 is negative`},
	} {
		require.Contains(t, goodTOML, c.old, c.name)
		_, err := load(strings.Replace(goodTOML, c.old, c.new, 1), goodTags)
		require.ErrorContains(t, err, c.want, c.name)
	}
}

// TestLinesOfMistakes breaks keys where a plain search for their name would find
// another line.
func TestLinesOfMistakes(t *testing.T) {
	const head = "name = \"A\"\ntime_zone = \"UTC\"\n"
	for name, c := range map[string]struct{ toml, want string }{
		"second of two":     {"[[basin]]\nname = \"a\"\nvolume = \"1 gal\"\n[[basin]]\nname = \"b\"\nvolume = \"1 gpm\"\n", "plant.toml:8: volume:"},
		"in a multi-line":   {"[[basin]]\ntitle = \"\"\"\nvolume = 3\n\"\"\"\nvolume = \"1 gpm\"\n", "plant.toml:7: volume:"},
		"quoted key":        {"[[basin]]\n\"volume\" = \"1 gpm\"\n", "plant.toml:4: volume:"},
		"dotted key":        {"[[basin]]\nrequire.ct = \"1 gpm\"\n", "plant.toml:4: require.ct:"},
		"inline table":      {"[[basin]]\n# volume\nrequire = { ct = \"1 gpm\" }\n", "plant.toml:5: require.ct:"},
		"table of a table":  {"[[basin]]\n[basin.require]\nct = \"1 min\"\n[[basin]]\n[basin.require]\nct = \"1 gpm\"\n", "plant.toml:8: require.ct:"},
		"after a list":      {"[[source]]\nfiles = [\n  \"a\", # [[source]]\n]\ndecimal = \";\"\n", "plant.toml:7: decimal"},
		"comment with sign": {"[[basin]] # [[basin]] volume = 1\nvolume = \"1 gpm\"\n", "plant.toml:4: volume:"},
		"unknown in second": {"[[basin]]\nname = \"a\"\n[[basin]]\nnmae = \"b\"\n", `plant.toml:6: nothing reads the key "basin.nmae"`},
		"unknown table":     {"[[basins]]\nname = \"a\"\n", `plant.toml:3: nothing reads the key "basins"`},
		"clean words":       {"[[source]]\nfiles = \"*\"\ngood_words = [\"x\"]\nbad_words = [\"x\"]\n", `plant.toml:6: "x" stands in good_words and in bad_words`},
	} {
		_, err := load(head+c.toml, goodTags)
		require.ErrorContains(t, err, c.want, name)
	}
}

// TestBoundsOfThePlantFile gives what would keep a parser busy, or its stack full.
func TestBoundsOfThePlantFile(t *testing.T) {
	const head = "name = \"A\"\ntime_zone = \"UTC\"\n"
	var keys strings.Builder
	for range 30_000 {
		keys.WriteString("a=1\n")
	}
	for name, c := range map[string]struct{ toml, want string }{
		"deep key":     {strings.Repeat("a.", 200_000) + "a = 1", "plant.toml:3: a key of more than 8 parts"},
		"deep heading": {"[" + strings.Repeat("a.", 200_000) + "a]", "plant.toml:3: a heading of more than 8 parts"},
		"deep list":    {"a = " + strings.Repeat("[", 1_000_000), "plant.toml:3: more than 8 brackets"},
		"many keys":    {keys.String(), "more than 20000 keys"},
		"an export":    {strings.Repeat("2026-03-01 00:00,Q,1\n", 400_000), "8 MB is no plant description"},
	} {
		start := time.Now()
		_, err := load(head+c.toml, goodTags)
		require.ErrorContains(t, err, c.want, name)
		require.Less(t, time.Since(start), 2*time.Second, name)
	}
}

// TestTimesAsTOMLWritesThem takes dates and times without quotation marks on the
// plant's clock.
func TestTimesAsTOMLWritesThem(t *testing.T) {
	p, err := load("name = \"A\"\ntime_zone = \"America/Denver\"\nreference = [{ from = 2026-03-01, to = 2026-03-02T06:00:00 }]\n", goodTags)
	require.NoError(t, err)
	require.Len(t, p.Reference, 1)
	require.Equal(t, "2026-03-01T00:00:00-07:00", p.Reference[0].From.Format(time.RFC3339))
	require.Equal(t, "2026-03-02T06:00:00-07:00", p.Reference[0].To.Format(time.RFC3339))
	require.True(t, math.IsNaN(p.Reporting.NonDetectValue))

	p, err = load("name = \"A\"\ntime_zone = \"UTC\"\n[[lab]]\nparameter = \"tss\"\nreporting_limit = \"2 mg/L\"\n", goodTags)
	require.NoError(t, err)
	require.True(t, p.Labs[0].From.IsZero(), "no time: always")
}
