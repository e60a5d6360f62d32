package plant

import (
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"time"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/analysis/sheet"
)

// Tag is one row of tags.csv.
type Tag struct {
	Name     string
	Measures quantity.Kind
	At       string
	Unit     quantity.Unit // as exported
	HasUnit  bool          // false: the export's own unit, or the kind's working unit, is taken
	Working  quantity.Unit // the unit values are kept in
	Reading  series.Reading
	Low      float64       // working unit; NaN: the kind's physical span
	High     float64       // working unit; NaN
	Percent  float64       // accuracy, percent of reading; NaN: not stated
	Absolute float64       // accuracy, working unit; NaN: not stated
	MaxGap   time.Duration // 0: the plant's
	Note     string
	Line     int // in tags.csv
}

// TagRow is a row of tags.csv as it is written, of the columns that every such
// sheet is begun with. Those after reading may be missing.
type TagRow struct {
	Tag      string `csv:"tag"`
	Measures string `csv:"measures"`
	At       string `csv:"at"`
	Unit     string `csv:"unit"`
	Reading  string `csv:"reading"`
	Low      string `csv:"low"`
	High     string `csv:"high"`
	Note     string `csv:"note"`
}

// tagRow has the columns besides that a sheet may have.
type tagRow struct {
	TagRow
	Accuracy string `csv:"accuracy"`
	MaxGap   string `csv:"max_gap"`
}

var tagColumns = sheet.Columns{Needed: 5, Known: []string{"tag", "measures", "at", "unit", "reading", "low", "high", "note", "accuracy", "max_gap"}}

// readTags reads tags.csv. All mistakes are reported at once.
func readTags(name string, r io.Reader) ([]Tag, error) {
	raw, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var rows []tagRow
	lines, decimalComma, err := sheet.Read(name, raw, tagColumns, &rows)
	errs := []error{err}
	var tags []Tag
	seen := map[string]int{}
	for i, row := range rows {
		if strings.HasPrefix(row.Tag, "#") {
			continue
		}
		t, err := tagFromRow(row, decimalComma)
		if err != nil {
			errs = append(errs, fmt.Errorf("%s:%d: %w", name, lines[i], err))
			if t.Unit == (quantity.Unit{}) { // what it measures is known: it is not missed elsewhere
				continue
			}
		}
		t.Line = lines[i]
		if prev, ok := seen[t.Name]; ok {
			errs = append(errs, fmt.Errorf("%s:%d: tag %s already stands in line %d", name, t.Line, t.Name, prev))
			continue
		}
		seen[t.Name] = t.Line
		tags = append(tags, t)
	}
	if err := errors.Join(errs...); err != nil || len(tags) > 0 {
		return tags, err
	}
	return nil, fmt.Errorf("%s: no tags; write one row per tag under %s", name, strings.Join(tagColumns.Known[:8], ","))
}

func tagFromRow(row tagRow, decimalComma bool) (Tag, error) {
	t := Tag{Name: row.Tag, At: row.At, Note: row.Note, Percent: math.NaN(), Absolute: math.NaN()}
	if t.Name == "" {
		return t, errors.New("column tag is empty")
	}
	var err error
	if t.Measures, err = quantity.ParseKind(row.Measures); err != nil {
		return t, fmt.Errorf("tag %s: %w", t.Name, err)
	}
	if t.At == "" {
		return t, fmt.Errorf("tag %s: column at is empty; name the sampling point", t.Name)
	}
	info, _ := quantity.Of(t.Measures)
	t.Unit = info.Working
	if u := row.Unit; u != "" {
		if t.Unit, err = quantity.ParseUnit(u); err != nil {
			return t, fmt.Errorf("tag %s: %w", t.Name, err)
		}
		t.HasUnit = true
	}
	if t.Working, err = quantity.Accept(t.Measures, t.Unit); err != nil {
		return t, fmt.Errorf("tag %s: %w", t.Name, err)
	}
	t.Reading = series.Continuous
	if r := row.Reading; r != "" {
		var ok bool
		if t.Reading, ok = series.ParseReading(strings.ToLower(r)); !ok {
			return t, fmt.Errorf("tag %s: unknown reading %q; write one of %s", t.Name, r, strings.Join(series.ReadingNames(), ", "))
		}
	}
	span := func(k, s string) (float64, error) {
		if s == "" {
			return math.NaN(), nil
		}
		v, err := parseNumber(s, decimalComma)
		if err != nil {
			return v, fmt.Errorf("tag %s: column %s: %w", t.Name, k, err)
		}
		return quantity.Convert(v, t.Unit, t.Working)
	}
	if t.Low, err = span("low", row.Low); err != nil {
		return t, err
	}
	if t.High, err = span("high", row.High); err != nil {
		return t, err
	}
	if t.Low >= t.High {
		return t, fmt.Errorf("tag %s: low %s is not below high %s", t.Name, row.Low, row.High)
	}
	if g := row.MaxGap; g != "" {
		if t.MaxGap, err = parseDuration(g); err != nil {
			return t, fmt.Errorf("tag %s: column max_gap: %w", t.Name, err)
		}
	}
	if a := row.Accuracy; a != "" {
		if t.Percent, t.Absolute, err = parseAccuracy(a, t.Unit, t.Working); err != nil {
			return t, fmt.Errorf("tag %s: column accuracy: %w", t.Name, err)
		}
	}
	return t, nil
}

// Numbers with their thousands set apart.
var (
	commaGroups = regexp.MustCompile(`^[-+]?\d{1,3}(,\d{3})+(\.\d*)?$`)
	pointGroups = regexp.MustCompile(`^[-+]?\d{1,3}(\.\d{3})+(,\d*)?$`)
)

// parseNumber takes "1,250", "0.05" and, in a sheet written with semicolons,
// "0,05". A comma or point that can be meant both ways is asked about: 1.250 in a
// sheet with semicolons is 1250 where commas are decimal, and 1.25 elsewhere.
func parseNumber(s string, decimalComma bool) (float64, error) {
	t := s
	switch {
	case decimalComma && pointGroups.MatchString(s):
		if !strings.Contains(s, ",") && strings.Count(s, ".") == 1 {
			return math.NaN(), fmt.Errorf("%q can be read as %s and as %s; write it without the point, or with the decimals that it has", s, strings.Replace(s, ".", "", 1), strings.TrimRight(s, "0"))
		}
		t = strings.ReplaceAll(strings.ReplaceAll(s, ".", ""), ",", ".")
	case decimalComma && strings.Count(s, ",") == 1 && !strings.Contains(s, "."):
		t = strings.Replace(s, ",", ".", 1)
	case !decimalComma && commaGroups.MatchString(s):
		t = strings.ReplaceAll(s, ",", "")
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return math.NaN(), fmt.Errorf("%q is not a number", s)
	}
	return v, nil
}

// parseAccuracy takes "2 %", "0.05" or "2 % + 0.05" (percent of reading, and an
// absolute part in the tag's unit or with a unit of its own).
func parseAccuracy(s string, unit, working quantity.Unit) (percent, absolute float64, err error) {
	percent, absolute = math.NaN(), math.NaN()
	for _, part := range strings.Split(s, "+") {
		part = strings.TrimSpace(part)
		if strings.HasSuffix(part, "%") {
			if percent, err = parseNumber(strings.TrimSpace(strings.TrimSuffix(part, "%")), false); err != nil {
				return
			}
			continue
		}
		v, u, perr := quantity.ParseQuantity(part)
		if perr != nil {
			if v, err = parseNumber(part, false); err != nil {
				return math.NaN(), math.NaN(), fmt.Errorf("%q is no accuracy; write 2 %%, 0.05 or 2 %% + 0.05", s)
			}
			u = unit
		}
		if u.Dimension != working.Dimension {
			return math.NaN(), math.NaN(), fmt.Errorf("%q is not in %s", part, unit.Symbol)
		}
		absolute = v * u.Scale / working.Scale // a difference: no offset
	}
	if percent < 0 || absolute < 0 {
		return math.NaN(), math.NaN(), fmt.Errorf("%q is negative", s)
	}
	return percent, absolute, nil
}

func parseDuration(s string) (time.Duration, error) {
	v, u, err := quantity.ParseQuantity(s)
	if err != nil || u.Dimension != quantity.Duration {
		return 0, fmt.Errorf("%q is no span of time; write 15 min or 2 h", s)
	}
	return time.Duration(math.Round(v * u.Scale * float64(time.Minute))), nil
}

// Tag finds a tag by its name in the exports.
func (p *Plant) Tag(name string) (Tag, bool) {
	for _, t := range p.Tags {
		if t.Name == name {
			return t, true
		}
	}
	return Tag{}, false
}

// TagsAt lists the tags that measure k at a point, signals before samples, in
// the order of tags.csv. An empty point means anywhere.
func (p *Plant) TagsAt(k quantity.Kind, point string) []Tag {
	var out []Tag
	for _, t := range p.Tags {
		if t.Measures == k && (point == "" || t.At == point) {
			out = append(out, t)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return !out[i].Sampled() && out[j].Sampled() })
	return out
}

// Signal is the first tag at the point that measures k on line (not a sample).
func (p *Plant) Signal(k quantity.Kind, point string) (Tag, bool) {
	for _, t := range p.TagsAt(k, point) {
		if !t.Sampled() {
			return t, true
		}
	}
	return Tag{}, false
}

// Sampled says that the tag holds laboratory or field samples.
func (t Tag) Sampled() bool { return t.Reading == series.Grab || t.Reading == series.Composite }

// FlowTag is the flow that carries the loads at a point: its own, or that of
// the point it names in flow_at.
func (p *Plant) FlowTag(point string) (Tag, bool) {
	for range len(p.Points) + 1 { // flow_at may lead on; never in a circle, checked at load
		if t, ok := p.Signal(quantity.Flow, point); ok {
			return t, true
		}
		q, ok := p.Point(point)
		if !ok || q.FlowAt == "" || q.FlowAt == point {
			break
		}
		point = q.FlowAt
	}
	return Tag{}, false
}

// Span gives the low and high bounds a reading of the tag is screened against,
// in the working unit: its own, or the kind's physical span.
func (t Tag) Span() (low, high float64) {
	info, _ := quantity.Of(t.Measures)
	low, high = info.Low, info.High
	if t.Working != info.Working { // a feed in percent or mass
		low, high = 0, 1e9
		if t.Working.Dimension == quantity.Percent {
			high = 150
		}
	}
	if !math.IsNaN(t.Low) {
		low = t.Low
	}
	if !math.IsNaN(t.High) {
		high = t.High
	}
	return low, high
}

// hasFlow says that a flow for the point is measured: by a meter, or by a
// totaliser whose readings can be differenced.
func (p *Plant) hasFlow(point string) bool {
	if _, ok := p.FlowTag(point); ok {
		return true
	}
	_, ok := p.TotalTag(point)
	return ok
}

// TotalTag is the totaliser of the flow that carries the loads at a point: its
// own, or that of the point it names in flow_at.
func (p *Plant) TotalTag(point string) (Tag, bool) {
	for range len(p.Points) + 1 {
		if t, ok := p.Signal(quantity.FlowTotal, point); ok {
			return t, true
		}
		q, ok := p.Point(point)
		if !ok || q.FlowAt == "" || q.FlowAt == point {
			break
		}
		point = q.FlowAt
	}
	return Tag{}, false
}
