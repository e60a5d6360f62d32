package workbook

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// The sheet Working takes a live figure to what is reported: its sign, its rounding,
// its state and its excursions, a row per line of the permit. The summary shows the
// last three, so that an edited day changes the verdict.

// Columns of the sheet.
const (
	workName = iota + 1
	workUnrounded
	workSign
	workPlaces
	workDecimals
	workRounded
	workReport
	workLimit
	workBeyond
	workState
	workExcursions
	workFirst = 5
)

// workRow is what a line has on the sheet; zero: it is not live.
type workRow struct {
	row        int
	excursions bool // as a formula too
}

// working writes the sheet and remembers the rows. The summary's rows are known.
func (k *writer) working() {
	s := Working
	k.text(s, 1, 1, "From the live figures to what is reported", "big")
	k.text(s, 1, 2, "Formulas. Beyond: the number from which a value, rounded as the permit has it, lies beyond the limit. Lines that no formula makes stand on the summary as the program found them.", "grey")
	for i, h := range []string{"Line", "Unrounded", "Sign", "Places", "Decimals", "Rounded", "Report", "Limit", "Beyond", "Result against limit", "Excursions"} {
		k.text(s, i+1, 4, h, "head")
	}
	k.width(s, 70, 14, 8, 8, 9, 14, 14, 12, 14, 22, 11)
	k.work = make([]workRow, len(k.m.Lines))
	row := workFirst
	for n := range k.m.Lines {
		if k.works(n) {
			k.workLine(n, row)
			k.work[n].row = row
			row++
		}
	}
	k.area(s, 4, row-1, workExcursions)
	k.freeze(s, 0, 4)
}

// works says whether a line's report follows from its live figure by formulas that
// a sheet can hold.
func (k *writer) works(n int) bool {
	l := k.m.Lines[n]
	switch {
	case k.live[n].formula == "" || l.Report == "" || l.Numberless > 0 && !k.wordsFit(n):
		return false
	case l.State.Outside() && l.Sign == discharge.Less && !l.AtLeast: // told by another rule than its own
		return false
	}
	return true
}

// wordsFit says whether results that are words without a number fit the formulas: those
// above what can be counted leave the figure to the others and make it "more than"; those
// below a limit that nobody states only where the permit's rule gives them a number.
func (k *writer) wordsFit(n int) bool {
	l := k.m.Lines[n]
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	if st.Percent > 0 || st.Removal || l.Column < 0 {
		return false
	}
	c := k.m.Columns[l.Column]
	if c.Choice.Rule == discharge.Zero || c.Choice.Rule == discharge.Fixed {
		return true
	}
	for _, r := range c.Results {
		if r.Note == "" && math.IsNaN(r.Value.V) && r.Value.Sign == discharge.Less {
			return false
		}
	}
	return true
}

// cells are those that a line's figure is made of: numbers, and beside them the
// words of their signs, span by span alike; nil where the figure is made otherwise.
func (k *writer) cells(n int) (numbers, words []string) {
	l := k.m.Lines[n]
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	switch at := k.weekCol[n]; {
	case st.Removal || l.Column < 0:
		return nil, nil
	case st.Weekly && at > 0:
		return k.weekSpans(at, k.plans[l.Column].reported > 0)
	case st.Weekly:
		return nil, nil
	}
	p := k.plans[l.Column]
	rows := k.rows(l)
	number := p.value
	if st.Mass {
		number = p.load[l.Unit]
	}
	if p.manyADay && single(st) {
		numbers = []string{k.resultSpan(l.Column)}
		words = []string{fmt.Sprintf("%s!%s:%s", Results, cell(resultSign, p.lo), cell(resultSign, p.hi))}
		return numbers, words
	}
	numbers = strings.Split(spans(Daily, number, rows), ",")
	if p.reported > 0 {
		words = strings.Split(spans(Signs, p.reported, rows), ",")
	}
	return numbers, words
}

// weekSpans are the cells of the weeks that count, and those of their signs.
func (k *writer) weekSpans(at int, signs bool) (numbers, words []string) {
	s := k.countedWeeks(at)
	if s == "" {
		return nil, nil
	}
	numbers = strings.Split(s, ",")
	if signs {
		words = strings.Split(k.countedWeeks(at+2), ",")
	}
	return numbers, words
}

// single says that a statistic is made of single results, not of days.
func single(st plant.Statistic) bool {
	return strings.HasPrefix(st.Name, "instantaneous") || st.Name == "range" || st.Name == "one hour average" || st.Name == "geometric mean monthly" || st.Percent > 0
}

// total adds up a formula over the spans: #N stands for the numbers, #W for the
// words of their signs.
func total(numbers, words []string, f string) string {
	var parts []string
	for i, n := range numbers {
		t := strings.ReplaceAll(f, "#N", n)
		if i < len(words) {
			t = strings.ReplaceAll(t, "#W", words[i])
		}
		parts = append(parts, t)
	}
	if len(parts) > 1 {
		return "(" + strings.Join(parts, "+") + ")"
	}
	return strings.Join(parts, "")
}

// The words of a sign, which a spreadsheet counts: "<" in a criterion is an operator.
const (
	below = "below"
	above = "above"
	many  = "uncounted" // more than can be counted: no number beside it
)

// signWord is the formula of a reported cell's word.
func signWord(r string) string {
	return fmt.Sprintf(`IF(LEFT(%[1]s,1)="<",%[2]q,IF(LEFT(%[1]s,1)=">",%[3]q,""))`, r, below, above)
}

// signs writes the words of the daily sheet's reported cells at the same places of a
// sheet of their own.
func (k *writer) signs() {
	k.text(Signs, 1, 1, "Signs of the daily sheet's reported cells, for counting", "big")
	last := 3
	for i, c := range k.m.Columns {
		p := k.plans[i]
		if p.reported == 0 {
			continue
		}
		last = max(last, p.reported)
		k.text(Signs, p.reported, dailyHead, c.Short, "head")
		for r, d := range c.Days {
			formula, word := wordSign(Daily+"!"+cell(p.reported, dailyFirst+r), d.Text, d.Value)
			k.known(Signs, p.reported, dailyFirst+r, formula, math.NaN(), word, "box")
		}
	}
	k.area(Signs, dailyHead, dailyFirst+len(k.days())-1, last)
}

// meanSign is the formula of a mean's sign: a ">" wins; a "<" is passed on by the
// rule that does so, and where all are below.
func (k *writer) meanSign(c discharge.Choice, numbers, words []string, low bool) string {
	count := func(word string) string { return total(numbers, words, fmt.Sprintf("COUNTIF(#W,%q)", word)) }
	none := `""`
	switch {
	case c.Rule == discharge.Limit:
		none = fmt.Sprintf(`IF(%s>0,"<","")`, count(below))
	case k.m.Reporting.AllBelow != "as-rule" && !low:
		none = fmt.Sprintf(`IF(%s=%s,"<","")`, count(below), total(numbers, words, "COUNT(#N)"))
	}
	return fmt.Sprintf(`IF(%s+%s>0,">",%s)`, count(above), count(many), none)
}

// removalSign: less in the effluent, or more in the influent, is more removed.
func (k *writer) removalSign(l discharge.Line) string {
	rows := k.rows(l)
	of := func(i int) string {
		p := k.plans[i]
		if p.reported == 0 {
			return `""`
		}
		return k.meanSign(k.m.Columns[i].Choice, strings.Split(spans(Daily, p.value, rows), ","), strings.Split(spans(Signs, p.reported, rows), ","), false)
	}
	if l.Column < 0 || l.Against < 0 {
		return fmt.Sprintf("%q", string(l.Sign))
	}
	out, in := of(l.Column), of(l.Against)
	return fmt.Sprintf(`IF(OR(AND(%[1]s="<",%[2]s<>"<"),AND(%[2]s=">",%[1]s="")),">",IF(OR(AND(%[1]s=">",%[2]s<>">"),AND(%[2]s="<",%[1]s="")),"<",""))`, out, in)
}

// near counts the cells that equal a figure in the line's unit, of one sign word or
// of any.
func (k *writer) near(n int, numbers, words []string, x, word string) string {
	at := "ROUND(" + x + "/" + k.factor(n) + ",12)"
	f := fmt.Sprintf(`COUNTIFS(#N,">="&(%[1]s-0.000000001*ABS(%[1]s)),#N,"<="&(%[1]s+0.000000001*ABS(%[1]s))`, at)
	if word != "" {
		f += fmt.Sprintf(",#W,%q", word)
	}
	return total(numbers, words, f+")")
}

// sign is the formula of a figure's sign; a constant where no result bears one.
func (k *writer) sign(n int, x string) string {
	l := k.m.Lines[n]
	if st, _ := plant.StatisticOf(l.Limit.Statistic); st.Removal {
		return k.removalSign(l)
	}
	numbers, words := k.cells(n)
	if words == nil {
		return fmt.Sprintf("%q", string(l.Sign))
	}
	c := k.m.Columns[l.Column]
	count := func(word string) string { return total(numbers, words, fmt.Sprintf("COUNTIF(#W,%q)", word)) }
	byLimit := c.Choice.Rule == discharge.Limit
	low := l.AtLeast || l.Part == "lowest"
	none := `""`
	if k.m.Reporting.AllBelow != "as-rule" && !low {
		none = fmt.Sprintf(`IF(%s=%s,"<","")`, count(below), total(numbers, words, "COUNT(#N)"))
	}
	if fn := discharge.SheetFunction(l.Statistic); fn == "AVERAGE" || fn == "GEOMEAN" {
		return k.meanSign(c.Choice, numbers, words, low)
	}
	// The sign of the result that is the figure. Of equal ones the highest is the one
	// with ">", the lowest the one with "<".
	under, over, any := k.near(n, numbers, words, x, below), k.near(n, numbers, words, x, above), k.near(n, numbers, words, x, "")
	if low {
		if byLimit {
			return fmt.Sprintf(`IF(%s>0,"<",IF(AND(%s>0,%s=%s),">",""))`, under, over, over, any)
		}
		return fmt.Sprintf(`IF(AND(%s>0,%s=%s),">","")`, over, over, any)
	}
	if byLimit {
		none = fmt.Sprintf(`IF(AND(%s>0,%s=%s),"<",%s)`, under, under, any, none)
	}
	return fmt.Sprintf(`IF(%s+%s>0,">",%s)`, over, count(many), none) // what cannot be counted is more than any
}

// factor turns a number of the cells into the line's unit.
func (k *writer) factor(n int) string {
	l := k.m.Lines[n]
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	if st.Mass || st.Removal || st.Weekly { // weeks stand in the line's unit
		return "1"
	}
	from, err1 := quantity.ParseUnit(k.m.Columns[l.Column].Unit)
	to, err2 := quantity.ParseUnit(l.Unit)
	if err1 != nil || err2 != nil || from.Symbol == to.Symbol {
		return "1"
	}
	a, err1 := quantity.Convert(1, from, to)
	b, err2 := quantity.Convert(0, from, to)
	if err1 != nil || err2 != nil || b != 0 {
		return "1"
	}
	return num(a)
}

// workLine writes one line's row.
func (k *writer) workLine(n, row int) {
	s, l := Working, k.m.Lines[n]
	at := func(col int) string { return cell(col, row) }
	name := l.Parameter + ", " + l.Point + ": " + l.Statistic
	if l.Part != "" {
		name += ", " + l.Part
	}
	k.text(s, workName, row, name, "box wrap")
	x := at(workUnrounded)
	k.known(s, workUnrounded, row, fmt.Sprintf("%s!%s", Summary, cell(sumLive, k.live[n].row)), l.Value, "", "box g")
	k.known(s, workSign, row, fmt.Sprintf(`IF(%s="","",%s)`, x, k.sign(n, x)), math.NaN(), string(l.Sign), "box centre")

	// Places: the decimals before a rounding that adds a digit (9.96 to two figures
	// is 10, not 10.0).
	p := l.Places
	magnitude := func(c string) string { return fmt.Sprintf("IF(%[1]s=0,0,INT(LOG10(ABS(%[1]s))+0.0000000000001))", c) }
	places := fmt.Sprint(p.Decimals)
	if p.Figures > 0 {
		places = fmt.Sprintf("%d-%s", p.Figures-1, magnitude(x))
	}
	if p.MaxDecimals >= 0 {
		places = fmt.Sprintf("MIN(%s,%d)", places, p.MaxDecimals)
	}
	decimals := at(workPlaces)
	if p.Figures > 0 {
		decimals = fmt.Sprintf("MIN(%s,%d-%s)", at(workPlaces), p.Figures-1, magnitude(fmt.Sprintf("ROUND(%s,%s)", x, at(workPlaces))))
	}
	d := discharge.DecimalsOf(strings.TrimLeft(l.Report, "<>"))
	k.calc(s, workPlaces, row, fmt.Sprintf(`IF(%s="","",%s)`, x, places), "box d0")
	k.calc(s, workDecimals, row, fmt.Sprintf(`IF(%s="","",%s)`, x, decimals), "box d0")
	to := at(workDecimals)
	// Binary noise goes first: thirteen significant digits are meant.
	clean := fmt.Sprintf("ROUND(%s,12-%s)", x, magnitude(x))
	rounded := fmt.Sprintf("ROUND(%s,%s)", clean, to)
	if l.Half == discharge.HalfEven {
		rounded = fmt.Sprintf("IF(ABS(MOD(ABS(%[1]s)*10^%[2]s,1)-0.5)<0.000000001,2*ROUND(%[1]s*10^%[2]s/2,0)/10^%[2]s,ROUND(%[1]s,%[2]s))", clean, to)
	}
	k.known(s, workRounded, row, fmt.Sprintf(`IF(%s="","",%s)`, x, rounded), l.Rounded, "", "box d"+fmt.Sprint(d))
	text := fmt.Sprintf("FIXED(%s,MAX(%s,0),TRUE)", at(workRounded), to)
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	if numbers, words := k.cells(n); words != nil && !st.Weekly { // a bound that is the figure is passed on as it stands
		bound := x
		if k.factor(n) != "1" {
			bound = "ROUND(" + x + ",9)"
		}
		text = fmt.Sprintf(`IF(OR(AND(%[1]s="<",%[2]s>0),AND(%[1]s=">",%[3]s>0)),%[4]s&"",%[5]s)`,
			at(workSign), k.near(n, numbers, words, x, below), k.near(n, numbers, words, x, above), bound, text)
	}
	k.known(s, workReport, row, fmt.Sprintf(`IF(%s="","",%s&%s)`, x, at(workSign), text), math.NaN(), l.Report, "box bold right")
	k.workAgainst(n, row)
}

// workAgainst writes the state and the excursions.
func (k *writer) workAgainst(n, row int) {
	s, l := Working, k.m.Lines[n]
	at := func(col int) string { return cell(col, row) }
	if math.IsNaN(l.LimitValue) {
		for _, c := range []int{workLimit, workBeyond, workExcursions} {
			k.text(s, c, row, "", "box")
		}
		k.text(s, workState, row, Standing(l.State), "box")
		return
	}
	k.number(s, workLimit, row, l.LimitValue, "box g")
	r, sign, lim := at(workRounded), at(workSign), at(workLimit)
	within, cannot := fmt.Sprintf("%q", string(discharge.Within)), fmt.Sprintf("%q", Standing(discharge.CannotTell))
	bad, toward, away, beyond := Standing(discharge.Above), "<", ">", ">"
	if l.AtLeast {
		bad, toward, away, beyond = Standing(discharge.Below), ">", "<", "<"
	}
	orEqual := beyond + "="
	good := map[string]string{">": "<=", "<": ">="}[beyond]
	// A sign toward the good side tells when the number lies on it, one away from
	// it when the number has reached the limit.
	towardGood := fmt.Sprintf(`IF(%s%s%s,%s,%s)`, r, good, lim, within, cannot)
	if level := l.Limit.ComplianceLevel; level > 0 && !l.AtLeast {
		towardGood = fmt.Sprintf(`IF(OR(%s%s%s,%s<=%s),%s,%s)`, r, good, lim, at(workUnrounded), num(level), within, cannot)
	}
	if least := k.least(n); least != "" && !l.AtLeast { // even with what is below counted as zero
		towardGood = fmt.Sprintf(`IF(ROUND(%s,%s)>%s,%q,%s)`, least, at(workDecimals), lim, bad, towardGood)
	}
	state := fmt.Sprintf(`IF(%s=%q,%s,IF(%s=%q,IF(%s%s%s,%q,%s),IF(%s%s%s,%q,%s)))`,
		sign, toward, towardGood, sign, away, r, orEqual, lim, bad, cannot, r, beyond, lim, bad, within)
	k.known(s, workState, row, fmt.Sprintf(`IF(%s="",%q,%s)`, at(workUnrounded), Standing(discharge.NotDetermined), state), math.NaN(), Standing(l.State), "box")

	// From where a single value, rounded, lies beyond: half a unit of the limit's last
	// place; a tie to the even digit stays where the limit is even.
	places := k.limitPlaces(l)
	half := 0.5 * math.Pow(10, -float64(places))
	if l.AtLeast {
		half = -half
	}
	k.calc(s, workBeyond, row, lim+"+("+num(half)+")", "box g")
	var count string
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	numbers, words := k.cells(n)
	compare := ">="
	switch odd := math.Mod(math.Round(l.LimitValue*math.Pow(10, float64(places))), 2) != 0; {
	case l.AtLeast:
		compare = "<"
		if l.Half == discharge.HalfEven && odd {
			compare = "<="
		}
	case l.Half == discharge.HalfEven && !odd:
		compare = ">"
	}
	noise := map[string]string{">=": "-", "<": "-", ">": "+", "<=": "+"}[compare] + "0.00000000001" // of binary numbers
	inCells := func(c string) string { return "(" + c + "/" + k.factor(n) + ")" }
	edge := fmt.Sprintf(`%q&(%s%s)`, compare, inCells(at(workBeyond)), noise)
	all := total(numbers, nil, "COUNTIF(#N,"+edge+")")
	switch {
	case whole(st):
		count = fmt.Sprintf(`IF(OR(LEFT(%[1]s,1)="▲",LEFT(%[1]s,1)="▼"),1,0)`, at(workState))
	case numbers == nil || k.m.Columns[l.Column].Sample == "continuous" && single(st):
	case words == nil:
		count = all
	case l.AtLeast && (k.m.Columns[l.Column].Choice.Rule == discharge.Zero || k.m.Columns[l.Column].Choice.Rule == discharge.Fixed):
		// What a "<" counts for does not tell the number that is held against a minimum.
	default: // a bound toward the good side is none, one away from it from the limit on
		toward, away, reached := below, above, ">="
		bound := inCells(lim)
		if l.AtLeast {
			toward, away, reached = above, below, "<="
			if k.m.Columns[l.Column].Choice.Rule == discharge.Half { // the cell holds half of the number that is held against it
				bound += "/2"
			}
		}
		count = all + "-" + total(numbers, words, fmt.Sprintf(`COUNTIFS(#N,%s,#W,%q)`, edge, toward)) + "-" + total(numbers, words, fmt.Sprintf(`COUNTIFS(#N,%s,#W,%q)`, edge, away)) +
			"+" + total(numbers, words, fmt.Sprintf(`COUNTIFS(#N,%q&%s,#W,%q)`, reached, bound, away))
	}
	if count == "" {
		k.number(s, workExcursions, row, float64(len(l.Excursions)), "box d0")
		return
	}
	k.work[n].excursions = true
	k.known(s, workExcursions, row, count, float64(len(l.Excursions)), "", "box d0")
}

// least is a mean under the rule that passes limits on, with what is below its limit
// counted as zero, in the line's unit; empty where no formula gives it.
func (k *writer) least(n int) string {
	l := k.m.Lines[n]
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	if l.Column < 0 || st.Geometric || st.Removal || k.m.Columns[l.Column].Choice.Rule != discharge.Limit || k.plans[l.Column].reported == 0 {
		return ""
	}
	p := k.plans[l.Column]
	number := p.value
	if st.Mass {
		number = p.load[l.Unit]
	}
	mean := func(rows []int) string {
		if len(rows) == 0 {
			return ""
		}
		numbers, words := strings.Split(spans(Daily, number, rows), ","), strings.Split(spans(Signs, p.reported, rows), ",")
		return fmt.Sprintf(`(%s-%s)/MAX(1,%s)`, total(numbers, nil, "SUM(#N)"), total(numbers, words, fmt.Sprintf("SUMIF(#W,%q,#N)", below)), total(numbers, nil, "COUNT(#N)"))
	}
	switch {
	case st.Weekly:
		var parts []string
		for i, w := range k.m.Weeks {
			if f := mean(k.weekRows(l, i)); w.Counted && f != "" {
				parts = append(parts, k.unitOf(l, k.m.Columns[l.Column], st, "("+f+")"))
			}
		}
		if len(parts) == 0 {
			return ""
		}
		return "MAX(" + strings.Join(parts, ",") + ")"
	case discharge.SheetFunction(l.Statistic) == "AVERAGE":
		return "(" + mean(k.rows(l)) + ")*" + k.factor(n)
	}
	return ""
}

// whole says that the month's figure is its only excursion.
func whole(st plant.Statistic) bool {
	return strings.HasSuffix(st.Name, " monthly") || st.Removal || st.Percent > 0
}

// limitPlaces is the last place that a value near the limit is rounded to.
func (k *writer) limitPlaces(l discharge.Line) int {
	p := l.Places
	n := p.Decimals
	if p.Figures > 0 {
		n = p.Figures - 1
		if l.LimitValue != 0 {
			n -= int(math.Floor(math.Log10(math.Abs(l.LimitValue)) + 1e-13))
		}
	}
	if p.MaxDecimals >= 0 {
		n = min(n, p.MaxDecimals)
	}
	return n
}

// known writes a formula whose answer the program has: v, or text where v is NaN.
func (k *writer) known(sheet string, col, row int, formula string, v float64, text, style string) {
	k.do(k.f.SetCellValue(sheet, cell(col, row), nil)) // what stood there was a figure of its own
	k.calc(sheet, col, row, formula, style)
	at := &k.formula[len(k.formula)-1]
	at.known = true
	if !math.IsNaN(v) {
		at.number = v
		at.isNumber = true
	}
	at.text = text
}
