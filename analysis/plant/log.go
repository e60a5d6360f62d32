package plant

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/sheet"
)

// LogWord is what a row of log.csv tells of.
type LogWord string

// Words of log.csv.
const (
	Delivery     LogWord = "delivery"
	TankChanged  LogWord = "tank changed"
	Cleaned      LogWord = "cleaned"
	Calibrated   LogWord = "calibrated"
	Standard     LogWord = "standard"
	OutOfService LogWord = "out of service"
	Closed       LogWord = "closed"
	Bypass       LogWord = "bypass"
	StormLogged  LogWord = "storm"
	Sampling     LogWord = "sampling"
	Remark       LogWord = "remark"
)

var logWords = []LogWord{Delivery, TankChanged, Cleaned, Calibrated, Standard, OutOfService, Closed, Bypass, StormLogged, Sampling, Remark}

// logSynonyms are other ways in which people write them.
var logSynonyms = map[string]LogWord{
	"delivered": Delivery, "tank change": TankChanged, "probe cleaned": Cleaned, "cleaning": Cleaned, "calibration": Calibrated,
	"standard read": Standard, "instrument out": OutOfService, "instrument out of service": OutOfService, "basin out": Closed, "pump out": Closed,
	"rain": StormLogged, "sampling trouble": Sampling, "note": Remark,
}

// LogEntry is one row of log.csv: what only people know.
type LogEntry struct {
	From, To      time.Time // equal: a moment
	What          LogWord
	Where         string  // a tag, feed, basin or point, as the word asks; may be empty
	Value         float64 // NaN: none
	Before, After float64 // of a calibration; NaN
	Unit          string
	Note          string
	Line          int
}

// Masks says that what the instrument read then was not the water's.
func (e *LogEntry) Masks() bool {
	switch e.What {
	case Cleaned, Calibrated, Standard, OutOfService:
		return true
	}
	return false
}

// ServiceTime is how long a service without an end is taken to last: common
// practice, no source.
const ServiceTime = 30 * time.Minute

// Until is the end of an entry; of a service without one, after ServiceTime.
func (e *LogEntry) Until() time.Time {
	if e.Masks() && !e.To.After(e.From) {
		return e.From.Add(ServiceTime)
	}
	return e.To
}

// Says tells the entry in a few words: "AIT-424 cleaned (with acid)".
func (e *LogEntry) Says() string {
	words := string(e.What)
	if e.What == Remark {
		words = ""
	}
	if e.Where != "" {
		words = strings.TrimSpace(e.Where + " " + words)
	}
	if value := e.valueText(); value != "" {
		words += ", " + value
	}
	switch {
	case e.Note == "":
	case words == "":
		words = e.Note
	default:
		words += " (" + e.Note + ")"
	}
	return words
}

// Short names the entry for a chart.
func (e *LogEntry) Short() string {
	if e.What == Remark || e.Where == "" {
		return string(e.What)
	}
	return e.Where + " " + string(e.What)
}

func (e *LogEntry) valueText() string {
	unit := strings.TrimRight(" "+e.Unit, " ")
	switch {
	case !math.IsNaN(e.Before):
		return fmt.Sprintf("%g before, %g after%s", e.Before, e.After, unit)
	case !math.IsNaN(e.Value):
		return fmt.Sprintf("%g%s", e.Value, unit)
	}
	return ""
}

// logRow is a row as it is written.
type logRow struct {
	From  string `csv:"from"`
	To    string `csv:"to"`
	What  string `csv:"what"`
	Where string `csv:"where"`
	Value string `csv:"value"`
	Unit  string `csv:"unit"`
	Note  string `csv:"note"`
}

var logColumns = sheet.Columns{Needed: 3, Known: []string{"from", "to", "what", "where", "value", "unit", "note"}}

// ReadLog reads log.csv into the plant, checks that what it names exists, and
// enters what the rest of the program goes by: deliveries at their feeds,
// closures at their basins, cleanings at their probes. All mistakes are reported
// at once, each with its line.
func (p *Plant) ReadLog(name string, r io.Reader) error {
	raw, err := io.ReadAll(r)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var rows []logRow
	lines, decimalComma, err := sheet.Read(name, raw, logColumns, &rows)
	errs := []error{err}
	var log []LogEntry
	for i, row := range rows {
		if strings.HasPrefix(row.From, "#") {
			continue
		}
		e, err := p.logEntry(row, decimalComma)
		if err != nil {
			errs = append(errs, fmt.Errorf("%s:%d: %w", name, lines[i], err))
			continue
		}
		e.Line = lines[i]
		log = append(log, e)
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	p.Log = append(p.Log, log...)
	slices.SortStableFunc(p.Log, func(a, b LogEntry) int { return a.From.Compare(b.From) })
	p.Files = append(p.Files, fileOf(name, raw))
	for i := range log {
		p.enter(&log[i])
	}
	return nil
}

func (p *Plant) logEntry(row logRow, decimalComma bool) (LogEntry, error) {
	e := LogEntry{Where: row.Where, Unit: row.Unit, Note: row.Note, Value: math.NaN(), Before: math.NaN(), After: math.NaN()}
	var err error
	if row.From == "" {
		return e, errors.New("column from is empty; write when it was, as 2026-03-14 06:30 on the plant's clock")
	}
	if e.From, err = ParseTime(row.From, p.Zone); err != nil {
		return e, fmt.Errorf("column from: %w", err)
	}
	e.To = e.From
	if row.To != "" {
		if e.To, err = ParseTime(row.To, p.Zone); err != nil {
			return e, fmt.Errorf("column to: %w", err)
		}
		if e.To.Before(e.From) {
			return e, fmt.Errorf("to %s lies before from %s", row.To, row.From)
		}
	}
	word := strings.Join(strings.Fields(strings.ToLower(row.What)), " ")
	e.What = LogWord(word)
	if s, ok := logSynonyms[word]; ok {
		e.What = s
	}
	if !slices.Contains(logWords, e.What) {
		return e, fmt.Errorf("unknown word %q in column what; write one of %s", row.What, wordList(logWords))
	}
	if err := p.checkWhere(&e); err != nil {
		return e, err
	}
	if err := e.readValue(row.Value, decimalComma); err != nil {
		return e, err
	}
	return e, p.checkStrengthLogged(&e)
}

// checkStrengthLogged says what a delivery's strength lacks.
func (p *Plant) checkStrengthLogged(e *LogEntry) error {
	if e.What != Delivery && e.What != TankChanged {
		return nil
	}
	i := slices.IndexFunc(p.Feeds, func(f Feed) bool { return f.Name == e.Where })
	f := &p.Feeds[i]
	switch {
	case math.IsNaN(e.Value):
		return nil
	case f.Chemical == "chlorine" || f.Chemical == "sulfur_dioxide":
		return fmt.Errorf("feed %s is a gas and has no strength; leave value empty", f.Name)
	case !(e.Value >= 0.01 && e.Value <= 1000):
		return fmt.Errorf("a strength of %g cannot be; %s is stated in %s", e.Value, f.Name, f.StrengthAs)
	}
	if e.Unit == "" || e.Unit == "%" || strings.EqualFold(e.Unit, "percent") {
		e.Unit = f.StrengthAs
	}
	words := f.strengthWords()
	if !slices.Contains(words, e.Unit) {
		return fmt.Errorf("unit %q is no strength; write one of %s, or leave it empty for %s", e.Unit, strings.Join(words, ", "), f.StrengthAs)
	}
	if byWeight(e.Unit) && math.IsNaN(f.SpecificGravity) {
		return fmt.Errorf("a strength by weight needs specific_gravity of feed %s in plant.toml", f.Name)
	}
	return nil
}

// readValue reads a number, or of a calibration what was read before and after.
func (e *LogEntry) readValue(text string, decimalComma bool) error {
	if text == "" {
		return nil
	}
	if e.What == Calibrated {
		for _, arrow := range []string{"->", "→", "/", ">"} {
			before, after, ok := strings.Cut(text, arrow)
			if !ok {
				continue
			}
			b, err := parseNumber(strings.TrimSpace(before), decimalComma)
			a, err2 := parseNumber(strings.TrimSpace(after), decimalComma)
			if err := errors.Join(err, err2); err != nil {
				return fmt.Errorf("column value: %w; write before and after as 2.10 -> 1.95", err)
			}
			e.Before, e.After = b, a
			return nil
		}
	}
	v, err := parseNumber(text, decimalComma)
	if err != nil {
		return fmt.Errorf("column value: %w", err)
	}
	e.Value = v
	return nil
}

// checkWhere says what of the plant the row must name, and does not.
func (p *Plant) checkWhere(e *LogEntry) error {
	named := func(what string, names []string, found bool) error {
		switch {
		case found:
			return nil
		case e.Where == "":
			return fmt.Errorf("column where is empty; %q needs the name of a %s", e.What, what)
		}
		return fmt.Errorf("%q is no %s of this plant; there are %s", e.Where, what, strings.Join(names, ", "))
	}
	switch e.What {
	case Delivery, TankChanged:
		var names []string
		for _, f := range p.Feeds {
			names = append(names, f.Name)
			if e.Where == f.Tag && f.Tag != "" || strings.EqualFold(e.Where, f.Name) || f.Title != "" && strings.EqualFold(e.Where, f.Title) {
				e.Where = f.Name
				return nil
			}
		}
		if e.Where == "" && len(p.Feeds) == 1 {
			e.Where = p.Feeds[0].Name
			return nil
		}
		return named("feed", names, false)
	case Cleaned, Calibrated, Standard, OutOfService:
		_, ok := p.Tag(e.Where)
		var names []string
		for _, t := range p.Tags {
			if !t.Sampled() && len(names) < 12 {
				names = append(names, t.Name)
			}
		}
		return named("tag", names, ok)
	case Closed:
		var names []string
		for _, b := range p.Basins {
			names = append(names, b.Name)
			if strings.EqualFold(e.Where, b.Name) || b.Title != "" && strings.EqualFold(e.Where, b.Title) {
				e.Where = b.Name
				return nil
			}
		}
		if e.Where != "" { // a pump, or whatever else has no basin's name: told, and changes nothing
			return nil
		}
		return named("basin", names, false)
	}
	return nil
}

func wordList(words []LogWord) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return strings.Join(out, ", ")
}

// enter puts an entry where the rest of the program looks for it.
func (p *Plant) enter(e *LogEntry) {
	switch e.What {
	case Delivery, TankChanged:
		for i := range p.Feeds {
			if f := &p.Feeds[i]; f.Name == e.Where {
				f.Logged = append(f.Logged, LoggedStrength{At: e.From, Value: e.Value, As: e.Unit})
				slices.SortStableFunc(f.Logged, func(a, b LoggedStrength) int { return a.At.Compare(b.At) })
			}
		}
	case Closed:
		for i := range p.Basins {
			if b := &p.Basins[i]; b.Name == e.Where && e.To.After(e.From) {
				b.Closed = append(b.Closed, Span{e.From, e.To})
			}
		}
	case Cleaned:
		t, _ := p.Tag(e.Where)
		for i := range p.Probes {
			if p.Probes[i].Tag == t.Name {
				p.Probes[i].Cleaned = append(p.Probes[i].Cleaned, e.From)
				slices.SortFunc(p.Probes[i].Cleaned, time.Time.Compare)
			}
		}
	}
}
