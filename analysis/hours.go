package analysis

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// judgeHours holds every hour of a basin against what is asked of it.
func judgeHours(f *Frame, b *Basin) {
	ask := requirement(b.Require)
	acc := accuracies(f, b)
	b.Hours = make([]BasinHour, len(f.Hours))
	for i := range f.Hours {
		d, st := b.Dynamic[i], b.Steady[i]
		facts := contact.HourFacts{ResidualWhy: st.ResidualWhy, Residual: acc.Residual.Of(st.LowestResidual)}
		facts.Contact, facts.ContactWhy = steadyTime(b.SteadyT10, i, acc)
		facts.Modal, facts.ModalWhy = steadyTime(b.SteadyModal, i, acc)
		own := acc.ContactBand(st.ContactMin, st.VolumeGal, b.Contact.Factor.Value, st.PeakFlowMGD)
		steady := acc.CTBand(st.LowestResidual, own)
		if b.Require.JudgedBy == "steady" {
			facts.CT, facts.CTWhy = steady, st.CTWhy
		} else {
			facts.CT, facts.CTWhy = dynamicBand(b, d, acc), d.CTMgMinL.Why
		}
		if b.Segments != nil {
			facts.Segments = b.Segments[i]
			facts.PHHalf, facts.TempHalf = accuracy(b.PHTag).Half(b.PHHour[i].Max), accuracy(b.TempTag).Half(b.TempHour[i].Min)
		}
		h := BasinHour{Judged: ask.Judge(facts), Required: b.Require.CT, CT: facts.CT, Residual: st.LowestResidual}
		if facts.CTWhy != contact.Known {
			h.CT = contact.Band{Value: math.NaN(), Half: math.NaN()}
		}
		h.Asked = len(h.Judged) > 0
		h.Verdict = contact.Worst(h.Judged)
		h.Why = why(h)
		b.Hours[i] = h
	}
}

// accuracies are those of what a basin's contact time and CT rest on. The
// volume's is stated for the basin, or follows from that of its level.
func accuracies(f *Frame, b *Basin) contact.Accuracies {
	a := contact.Accuracies{Flow: accuracy(b.FlowTag), Residual: accuracy(b.ResidualTag),
		Volume: contact.Accuracy{Percent: b.VolumeAccuracy}, Factor: contact.Accuracy{Percent: b.FactorAccuracy}}
	if b.FlowShare < 1 {
		a.Flow.Absolute *= b.FlowShare // the part of the common meter's that is this basin's
	}
	if level, ok := f.Plant.Signal(quantity.Level, b.LevelAt); ok && b.LevelAt != "" && !a.Volume.Stated() && !math.IsNaN(b.Area) {
		a.Volume = accuracy(level)
		a.Volume.Absolute *= b.Area * quantity.GallonsPerCubicFoot
	}
	return a
}

// steadyTime is the contact time of hour i at its peak flow, with its band.
func steadyTime(hours []contact.SteadyHour, i int, acc contact.Accuracies) (contact.Band, contact.Reason) {
	if hours == nil {
		return contact.Band{Value: math.NaN(), Half: math.NaN()}, contact.InputUnknown
	}
	st := hours[i]
	k := st.ContactMin * st.PeakFlowMGD * contact.GallonsPerMinutePerMGD / st.VolumeGal
	return acc.ContactBand(st.ContactMin, st.VolumeGal, k, st.PeakFlowMGD), st.Why
}

// dynamicBand puts the band on the hour's least dynamic CT, from the residual
// and the contact time of that minute.
func dynamicBand(b *Basin, d contact.TrackHour, acc contact.Accuracies) contact.Band {
	at := d.CTMgMinL.MinAt
	if at < 0 {
		return contact.Band{Value: d.CTMgMinL.Min, Half: math.NaN()}
	}
	t := b.Own.ContactMin[at]
	vol := b.Contact.VolumeGal
	if b.Contact.VolumeByMinute != nil {
		vol = b.Contact.VolumeByMinute[at]
	}
	k := b.Contact.Factor.Value
	band := acc.CTBand(b.Residual[at], acc.ContactBand(t, vol, k, contact.LookBackFlowMGD(vol, k, t)))
	// In series the CT of the basins before is in the value. The band is taken in
	// proportion, as if all rested on this basin's instruments: they mostly share
	// the flow meter, and the careful reading is the wider band.
	return contact.Band{Value: d.CTMgMinL.Min, Half: band.Relative() * d.CTMgMinL.Min}
}

// why says in words what was short, or why an hour is not determined.
func why(h BasinHour) string {
	var short, unknown []string
	for _, j := range h.Judged {
		switch {
		case j.Verdict == contact.Short || j.Verdict == contact.ShortWithin:
			short = append(short, fmt.Sprintf("%s %.3g of %.3g %s", j.What, j.Band.Value, j.Required, j.Unit))
		case j.Verdict == contact.NotDetermined && len(unknown) == 0:
			unknown = append(unknown, j.Why.String())
		}
	}
	if h.Verdict == contact.NotDetermined {
		return strings.Join(unknown, ", ")
	}
	return strings.Join(short, ", ")
}

func requirement(r plant.Requirement) contact.Requirement {
	c := contact.Requirement{CTMgMinL: r.CT, ContactMin: r.ContactTime, ModalMin: r.ModalMin, ResidualMgL: r.ResidualMin,
		GiardiaLog: r.GiardiaLog, VirusLog: r.VirusLog, Reading: contact.Reading(r.TableReading), Tables: contact.FreeChlorine}
	if r.Disinfectant == "chloramine" {
		c.Tables = contact.Chloramine
	}
	if r.Time == "modal" {
		c.Time = contact.Modal
	}
	return c
}

func accuracy(t plant.Tag) contact.Accuracy {
	return contact.Accuracy{Percent: t.Percent, Absolute: t.Absolute}
}

// doubtHours marks the hours of a basin in which one of the instruments behind
// its CT is judged at fault for a quarter of an hour or more.
func doubtHours(f *Frame, b *Basin, js []Judgement) {
	const enough = 15 * 60_000
	for _, j := range js {
		for _, link := range j.Findings {
			if tag := heldBy(link, b); tag != "" {
				for i, w := range f.Hours {
					if min(link.End, w.End)-max(link.Start, w.Start) >= enough {
						b.Hours[i].unproved(tag)
					}
				}
			}
		}
		for _, d := range j.Doubts {
			if d.Tag != b.FlowTag.Name && d.Tag != b.ResidualTag.Name || !atFault(d) {
				continue
			}
			for i, w := range f.Hours {
				if min(d.End, w.End)-max(d.Start, w.Start) >= enough {
					b.Hours[i].Doubt, b.Hours[i].DoubtOf = true, d.Tag
					if strings.Contains(d.Kind, "frozen") {
						b.Hours[i].unproved(d.Tag)
					}
				}
			}
		}
	}
}

// heldBy is the tag behind a basin's CT that a stopped data link held still; empty:
// none.
func heldBy(f finding.Finding, b *Basin) string {
	if f.AtFault != finding.Data || !strings.Contains(f.Kind, "frozen") || f.Confidence < 0.5 {
		return ""
	}
	for _, tag := range []string{b.ResidualTag.Name, b.FlowTag.Name} {
		if tag != "" && (f.Subject == "all tags" || strings.Contains(f.Subject, tag) || strings.Contains(f.Summary, tag)) {
			return tag
		}
	}
	return ""
}

// unproved takes back a met hour whose reading stood still: a record that does
// not move is no proof that anything was met. A short hour stays as it reads.
func (h *BasinHour) unproved(tag string) {
	if !h.Asked || h.Short() || h.Verdict == contact.NotDetermined {
		return
	}
	h.Verdict, h.Why = contact.NotDetermined, tag+" stood still"
	for k := range h.Judged {
		if j := &h.Judged[k]; j.Verdict != contact.Short && j.Verdict != contact.ShortWithin {
			j.Verdict, j.Why = contact.NotDetermined, contact.StoodStill
		}
	}
}

// atFault leaves out service dips: they are masked, not blamed.
func atFault(d orp.Doubt) bool { return d.Confidence >= 0.5 }

// assumptions says what judging a basin's hours took for granted, and in how many.
func (b *Basin) assumptions() []string {
	count, order := map[string]int{}, []string(nil)
	for _, h := range b.Hours {
		seen := map[string]bool{}
		for _, j := range h.Judged {
			for _, n := range j.Notes {
				text := j.What + ": " + n
				if i := strings.Index(n, "; the regression asks for"); i >= 0 { // a figure of its own every hour
					text = j.What + ": " + n[:i]
				}
				if !seen[text] {
					seen[text] = true
					if count[text]++; count[text] == 1 {
						order = append(order, text)
					}
				}
			}
		}
	}
	var out []string
	for _, text := range order {
		out = append(out, fmt.Sprintf("%s, %s, in %d of %d hours.", b.Title, text, count[text], len(b.Hours)))
	}
	if b.Require.CT > 0 && !b.Require.JudgedStated {
		out = append(out, b.Title+": plant.toml does not say how the permit has CT judged. It was held against the water leaving (judged_by = \"dynamic\"); where the permit takes the lowest residual at the hour's peak flow, write judged_by = \"steady\" under [basin.require].")
	}
	return out
}
