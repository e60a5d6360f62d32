package analysis

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// tankSettings say how a tank's content is read. Common practice, no source.
type tankSettings struct {
	// RefillShare is the share of a tank (stated storage, or the highest content
	// seen) by which it must rise to count as a delivery; smaller rises are the
	// gauge's own noise.
	RefillShare float64
	// UseDays is over how many days before the end the use is averaged to say
	// how long what is in store lasts.
	UseDays int
}

func defaultTankSettings() tankSettings { return tankSettings{RefillShare: 0.1, UseDays: 7} }

// tank reads the content of the feed's tank in gallons, where a tag tells it.
func (d *Feed) tank(f *Frame) {
	t, ok := f.Plant.Tag(d.LevelTag)
	if !ok {
		return
	}
	s := f.Series[t.Name]
	if t.Measures == quantity.Level {
		gal := &series.Series{Tag: s.Tag, T: s.T, F: s.F, V: make([]float64, s.Len())}
		for i, v := range s.V {
			gal.V[i] = loading.TankVolume(v, d.TankArea)
		}
		s = gal
	}
	d.TankTag, d.Tank = t, s
}

// refill is the rise in gallons that counts as a delivery.
func (d *Feed) refill() float64 {
	full := d.Storage
	if math.IsNaN(full) {
		full = 0
		for i, v := range d.Tank.V {
			if d.Tank.Usable(i) {
				full = math.Max(full, v)
			}
		}
	}
	return defaultTankSettings().RefillShare * full
}

// drawn is what left the feed's tank over each window; nil without a tank tag.
func (r *Result) drawn(f *Feed, ws []align.Window) []loading.Drawn {
	if f.Tank == nil || f.Tank.Len() == 0 {
		return nil
	}
	return loading.TankDrop(f.Tank, r.Rule(f.TankTag), f.refill(), ws)
}

// addTank adds what left each tank to the daily table: the feed's use and dose
// where nothing else tells them, else beside what the pump says.
func (r *Result) addTank() {
	t := &r.Daily
	k := factor(r.Plant)
	for i := range r.Feeds {
		f := &r.Feeds[i]
		ds := r.drawn(f, t.Windows)
		if ds == nil {
			continue
		}
		gal, cover := make([]float64, len(ds)), make([]float64, len(ds))
		for w, d := range ds {
			gal[w], cover[w] = d.Gallons, d.Cover
		}
		if f.LbPerDay != nil {
			t.add(TankDrawn, f.Name, f.Title, gal, cover)
			continue
		}
		strength, flow := align.Fold(f.Strengths, r.Grid, t.Windows), align.Fold(f.FlowMGD, r.Grid, t.Windows)
		pounds, feed, dose := unknown(len(ds)), unknown(len(ds)), unknown(len(ds))
		for w := range ds {
			days := float64(t.Windows[w].End-t.Windows[w].Start) / 86_400_000
			pounds[w] = gal[w] * k.PoundsPerGallon(strength[w].Mean)
			feed[w] = pounds[w] / days
			if q := flow[w].At(r.Plant.DayCoverage); q > contact.DefaultSettings().ZeroFlowMGD {
				dose[w] = k.Concentration(feed[w], q)
			}
		}
		first := len(t.Columns)
		t.add(ActiveFeed, f.Name, f.Title, feed, cover)
		t.add(Dose, f.Name, f.Title, dose, cover)
		t.add(used(f), f.Name, f.Title, pounds, nil)
		t.add(SolutionUsed, f.Name, f.Title, gal, nil)
		for c := range t.Columns[first:] {
			t.Columns[first+c].Title += ", by the tank"
		}
	}
}

// ChemicalUse is what a feed used over the period.
type ChemicalUse struct {
	Feed     *Feed
	Pounds   float64 // active chemical, in the windows that are known
	Gallons  float64 // solution; NaN for a gas
	Cover    float64 // share of the period that the figures stand for, 0…1
	ByTank   bool    // known by the tank's drop, day by day
	Treated  float64 // MG dosed in the same windows
	LbPerMG  float64
	DoseMgL  float64 // mean over the water dosed
	Cost     float64 // NaN without a price
	Drawn    float64 // gal by the tank's drop, where a pump tag tells the use; else NaN
	InStore  float64 // gal at the end
	StoredBy string  // how InStore is known, and what DaysLeft assumes
	DaysLeft float64
}

// used is the column of what a feed used.
func used(f *Feed) *ColumnKind {
	if f.Chlorinates() {
		return ChlorineUsed
	}
	return ChemicalUsed
}

// chemicals adds up what each feed used: the hours that are known, or the days
// where only a tank tells.
func (r *Result) chemicals() {
	k := factor(r.Plant)
	for i := range r.Feeds {
		f := &r.Feeds[i]
		if f.Note != "" {
			r.Notes = append(r.Notes, f.Note+".")
		}
		u := ChemicalUse{Feed: f, Gallons: math.NaN(), Cost: math.NaN(), Drawn: math.NaN(), InStore: math.NaN(), DaysLeft: math.NaN(), ByTank: f.LbPerDay == nil}
		t := &r.Hourly
		if u.ByTank {
			t = &r.Daily
		}
		used, ok := t.Find(used(f), f.Name)
		if !ok {
			continue
		}
		gal, liquid := t.Find(SolutionUsed, f.Name)
		dose, _ := t.Find(Dose, f.Name)
		known := 0
		treatedPounds, gallons := 0.0, 0.0
		for w, lb := range used.Values {
			if math.IsNaN(lb) {
				continue
			}
			known++
			u.Pounds += lb
			if liquid {
				gallons += gal.Values[w]
			}
			if d := dose.Values[w]; d > 0 {
				u.Treated += lb / k.PoundsPerDay(1, d)
				treatedPounds += lb
			}
		}
		if known == 0 {
			continue
		}
		u.Cover = float64(known) / float64(len(used.Values))
		if liquid {
			u.Gallons = gallons
		}
		u.LbPerMG = loading.PoundsPerMG(treatedPounds, u.Treated)
		u.DoseMgL = k.Concentration(treatedPounds, u.Treated)
		if u.Treated == 0 {
			u.LbPerMG, u.DoseMgL = math.NaN(), math.NaN()
		}
		u.Cost = f.Price * u.Pounds
		if f.PriceUnit == "gal" {
			u.Cost = f.Price * u.Gallons
		}
		if col, ok := r.Daily.Find(TankDrawn, f.Name); ok {
			u.Drawn, _ = Total(col.Values)
		}
		r.store(&u)
		r.Chemicals = append(r.Chemicals, u)
	}
}

// store says what is in store and how long it lasts at the use of the last days.
func (r *Result) store(u *ChemicalUse) {
	set := defaultTankSettings()
	f := u.Feed
	switch {
	case f.Tank != nil:
		lo, hi := f.Tank.Between(r.From, r.To)
		for i := hi - 1; i >= lo; i-- {
			if f.Tank.Usable(i) {
				u.InStore, u.StoredBy = f.Tank.V[i], "by "+f.TankTag.Name+" at the end"
				break
			}
		}
	case !math.IsNaN(f.Storage):
		u.InStore, u.StoredBy = f.Storage, "taken as full, for want of a tank tag"
	}
	col, ok := r.Daily.Find(SolutionUsed, f.Name)
	if !ok || math.IsNaN(u.InStore) {
		return
	}
	sum, days := 0.0, 0
	for w := len(col.Values) - 1; w >= 0 && days < set.UseDays; w-- {
		if v := col.Values[w]; !math.IsNaN(v) {
			sum += v
			days++
		}
	}
	if days > 0 {
		u.DaysLeft = loading.DaysLeft(u.InStore, sum/float64(days))
		u.StoredBy += fmt.Sprintf("; use as on the last %d days known", days)
	}
}
