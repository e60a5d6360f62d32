package export

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/stamp"
)

// FuzzNumber holds the number reader against strconv, bit for bit.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"0", "-0", "1.5", ".5", "5.", "1e5", "1e-400", "1e400", "9007199254740993", "123456789012345678901234567890",
		"0.1e-22", "1.7976931348623157e308", "4.9e-324", "2.2250738585072011e-308", "18446744073709551616", "0000000000000000000000001.5", "+7", "1e", "1e+", "-", "1,5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, n := lex.ParseNumber([]byte(s), '.')
		if n > 0 {
			want, err := strconv.ParseFloat(s[:n], 64)
			require.NoError(t, err)
			require.Equal(t, math.Float64bits(want), math.Float64bits(v), "%q", s[:n])
			require.False(t, math.IsInf(v, 0))
			// The same with a decimal comma.
			w, k := lex.ParseNumber([]byte(strings.ReplaceAll(s, ".", ",")), ',')
			if !strings.Contains(s, ",") {
				require.Equal(t, n, k)
				require.Equal(t, math.Float64bits(v), math.Float64bits(w))
			}
		}
		// The hot reader gives the same, or nothing, wherever a separator follows.
		var b [32]byte
		if copy(b[:], s) < 25 {
			b[min(len(s), 25)] = ';'
			if h, k := rows.HotNumber(&b, '.'); k > 0 && b[k] == ';' && k == len(s) {
				require.Equal(t, n, k, "%q", s)
				require.Equal(t, math.Float64bits(v), math.Float64bits(h), "%q", s)
			} else if len(s) < 8 && strings.Trim(s, "0123456789.") == "" && n == len(s) && n > 0 {
				t.Fatalf("%q is plain", s)
			}
		}
		plain := strings.Trim(s, "0123456789.+-eE") == "" && s != ""
		if want, err := strconv.ParseFloat(s, 64); plain && err == nil {
			require.Equal(t, len(s), n, "%q is a number", s)
			require.Equal(t, math.Float64bits(want), math.Float64bits(v))
		}
		if g, ok := lex.GroupedNumber([]byte(s), '.'); ok {
			want, err := strconv.ParseFloat(strings.NewReplacer(",", "", " ", "", "'", "", "\u00a0", "", "\xa0", "").Replace(s), 64)
			if strings.Count(s, ".") <= 1 {
				require.NoError(t, err)
				require.Equal(t, want, g)
			}
		}
	})
}

// FuzzTime holds the time reader against package time for ISO times, and
// against crashes and its own fast path for everything else.
func FuzzTime(f *testing.F) {
	for _, s := range []string{"2026-03-25 06:00:00", "2026-03-25T06:00:00.250-06:00", "3/25/2026 6:00 PM", "25.03.26 24:00", "Mon, 5 Jan 2026 01:02:03 UTC", "46106.25", "20260325", "202603250600", "2026-11-01 01:30", "2026-02-30", "5-Mär-2026"} {
		f.Add(s, uint8(0))
	}
	denver, err := time.LoadLocation("America/Denver")
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, s string, o uint8) {
		for kind := stamp.TextTime; kind <= stamp.NanoTime; kind++ {
			r := stamp.TimeReader{Clock: stamp.ZoneOf(denver), Kind: kind, Order: stamp.DateOrder(o % 5)}
			ms, st := r.Read([]byte(s))
			again, st2 := r.Read([]byte(s))
			require.Equal(t, ms, again)
			require.Equal(t, st, st2)
			if kind == stamp.TextTime && st <= stamp.TimeTwice {
				if got, fs, n := r.Fast([]byte(s)); n == len(s) && n > 0 {
					require.Equal(t, ms, got, "fast and slow disagree on %q", s)
					require.Equal(t, st, fs)
				}
			}
		}
		if want, err := time.ParseInLocation("2006-01-02 15:04:05", s, denver); err == nil && want.Year() >= 1970 && want.Year() < 2100 && len(s) == 19 {
			r := stamp.TimeReader{Clock: stamp.ZoneOf(denver)}
			ms, st := r.Read([]byte(s))
			switch st {
			case stamp.TimeOK:
				require.Equal(t, want.UnixMilli(), ms, s)
			case stamp.TimeTwice, stamp.TimeNever: // package time picks one without saying so
				require.InDelta(t, float64(want.UnixMilli()), float64(ms), 3600_000)
			default:
				t.Fatalf("%q not read", s)
			}
		}
	})
}

// FuzzDialect sniffs anything.
func FuzzDialect(f *testing.F) {
	seedFiles(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		if fm, err := layout.Sniff(b, true, nil); err == nil {
			require.NotEmpty(t, fm.Cols)
			require.NotEmpty(t, fm.Describe(""))
		}
		record.GuessEncoding(b)
	})
}

// FuzzRows reads anything: no crash, the ledger adds up, and neither the block
// size nor the path that a row takes makes a difference.
func FuzzRows(f *testing.F) {
	seedFiles(f)
	denver, err := time.LoadLocation("America/Denver")
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		r, err := Read(context.Background(), []record.File{memFile("f.csv", b)}, Options{Zone: denver, Looks: true, BlockSize: 100, Workers: 2})
		require.NoError(t, err)
		checkLedger(t, r)
		for _, longWay := range []bool{false, true} {
			s, err := Read(context.Background(), []record.File{memFile("f.csv", b)}, Options{Zone: denver, Looks: true, Workers: 1, longWay: longWay})
			require.NoError(t, err)
			require.Equal(t, printed(r), printed(s), "the long way: %v", longWay)
		}
	})
}

func seedFiles(f *testing.F) {
	list, err := filepath.Glob(filepath.Join("..", "..", "testdata", "exports", "*"))
	require.NoError(f, err)
	for _, n := range list {
		if strings.HasSuffix(n, ".want") {
			continue
		}
		b, err := os.ReadFile(n)
		require.NoError(f, err)
		f.Add(b)
	}
}
