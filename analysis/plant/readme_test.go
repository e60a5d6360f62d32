package plant

import (
	_ "embed"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

//go:embed README.md
var readme string

// Every key that plant.toml takes stands in the README, and so does every column
// of tags.csv.
func TestReadmeNamesEveryKey(t *testing.T) {
	var walk func(reflect.Type)
	walk = func(ty reflect.Type) {
		for ty.Kind() == reflect.Pointer || ty.Kind() == reflect.Slice {
			ty = ty.Elem()
		}
		if ty.Kind() != reflect.Struct {
			return
		}
		for i := range ty.NumField() {
			key := ty.Field(i).Tag.Get("toml")
			if key == "" {
				continue
			}
			if !strings.Contains(readme, key+" =") && !strings.Contains(readme, "["+key+"]") && !strings.Contains(readme, "."+key+"]") && !strings.Contains(readme, "`"+key+"`") {
				t.Errorf("README.md does not tell of the key %q", key)
			}
			walk(ty.Field(i).Type)
		}
	}
	walk(reflect.TypeOf(Plant{}))
	for _, c := range tagColumns.Known {
		require.Contains(t, readme, "`"+c+"`")
	}
	for _, w := range ProcessRates() {
		require.Contains(t, readme, w)
	}
}

// The pieces of plant.toml shown there make one plant that loads.
func TestReadmeLoads(t *testing.T) {
	var toml strings.Builder
	for i, part := range strings.Split(readme, "```toml\n") {
		if code, _, ok := strings.Cut(part, "```"); ok && i > 0 {
			toml.WriteString(code + "\n")
		}
	}
	const tags = `tag,measures,at,unit,reading,low,high,note,accuracy
Q,flow,outlet,MGD,continuous,,,,2 %
C,chlorine_total,outlet,mg/L,continuous,,,,
ORP,orp,outlet,mV,continuous,,,,
HYPO,hypochlorite_feed,inlet,gal/h,on-change,,,,
TANK,tank_volume,tank,gal,continuous,,,,
PUMP,bisulfite_feed,final,%,continuous,,,,
STROKE,bisulfite_feed,final,%,continuous,,,,
TSS,tss,final,mg/L,composite,,,,
PH,ph,final,pH,grab,,,,
`
	p, err := Load("README.md", strings.NewReader(toml.String()), "tags.csv", strings.NewReader(tags))
	require.NoError(t, err)
	require.Len(t, p.Feeds, 2)
	require.Len(t, p.Processes, 1)
	require.Len(t, p.Limits, 2)
}
