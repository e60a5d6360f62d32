package contact

import "math"

// Requirement is what is asked of a basin. NaN or 0: nothing asked.
type Requirement struct {
	CTMgMinL    float64  // CT, mg·min/L
	Time        TimeKind // which contact time CT takes; T10 when empty
	ContactMin  float64  // contact time at the hour's peak flow, min
	ModalMin    float64  // least modal time, min
	ResidualMgL float64  // least residual, mg/L
	GiardiaLog  float64  // log inactivation of Giardia by the published tables
	VirusLog    float64  // log inactivation of virus
	Reading     Reading  // of the tables; Conservative when empty
	Tables      Disinfectant
}

// ReuseRequirement is California Title 22, section 60301.230 (verified): CT of
// 450 mg·min/L at all times from TOTAL chlorine and MODAL contact time measured
// at the same point, and a modal time of 90 min. The rule asks for the 90 min
// at peak dry weather design flow, so an hour below 90 min above that flow is
// not in itself outside of it.
func ReuseRequirement() Requirement {
	return Requirement{CTMgMinL: 450, Time: Modal, ModalMin: 90}
}

// HourFacts is what one hour brings to its requirements. A Why beside a figure
// says why it is not known.
type HourFacts struct {
	CT          Band // by the contact time that the requirement names
	CTWhy       Reason
	Contact     Band // T10 at the hour's peak flow, min
	ContactWhy  Reason
	Modal       Band // modal time at the hour's peak flow, min
	ModalWhy    Reason
	Residual    Band // lowest of the hour, mg/L
	ResidualWhy Reason
	// Segments are the disinfection segments for the log inactivation, by T10.
	Segments []SegmentCT
	// Half widths of the bands of pH and temperature (°C); 0: not stated.
	PHHalf, TempHalf float64
}

// Judge holds an hour against each part of r that asks for something, always in
// the same order: CT, contact time, modal time, residual, Giardia, virus.
func (r Requirement) Judge(f HourFacts) []Judged {
	var out []Judged
	if r.CTMgMinL > 0 {
		out = append(out, Judge("CT", "mg·min/L", f.CT, r.CTMgMinL, f.CTWhy))
	}
	if r.ContactMin > 0 {
		out = append(out, Judge("contact time", "min", f.Contact, r.ContactMin, f.ContactWhy))
	}
	if r.ModalMin > 0 {
		out = append(out, Judge("modal contact time", "min", f.Modal, r.ModalMin, f.ModalWhy))
	}
	if r.ResidualMgL > 0 {
		out = append(out, Judge("residual", "mg/L", f.Residual, r.ResidualMgL, f.ResidualWhy))
	}
	if r.GiardiaLog > 0 {
		out = append(out, r.judgeLog(Giardia, r.GiardiaLog, f))
	}
	if r.VirusLog > 0 {
		out = append(out, r.judgeLog(Virus, r.VirusLog, f))
	}
	return out
}

func (r Requirement) judgeLog(p Pathogen, required float64, f HourFacts) Judged {
	reading, tables := r.Reading, r.Tables
	if reading == "" {
		reading = Conservative
	}
	if tables == "" {
		tables = FreeChlorine
	}
	in := LogInactivation(p, tables, f.Segments, reading)
	if in.Why == InputUnknown && f.CTWhy != Known {
		in.Why = f.CTWhy // no segment, because there was no CT
	}
	half := in.Log * f.CT.Relative()
	if math.IsNaN(half) {
		half = 0
	}
	// What pH and temperature do to the log, from the straight-line reading on
	// either side: the steps of the conservative one have no slope.
	half = math.Hypot(half, logShift(p, tables, f.Segments, f.PHHalf, 0))
	half = math.Hypot(half, logShift(p, tables, f.Segments, 0, f.TempHalf))
	j := Judge("log inactivation of "+string(p), "log", Band{in.Log, half}, required, in.Why)
	j.Notes, j.Beyond = in.Notes, in.Beyond
	return j
}

// logShift is the larger change of the log inactivation when pH or temperature
// moves by its half band either way; a side outside the table is left out.
func logShift(p Pathogen, d Disinfectant, segments []SegmentCT, ph, temp float64) float64 {
	if !(ph > 0) && !(temp > 0) {
		return 0
	}
	base := LogInactivation(p, d, segments, Linear).Log
	shift := 0.0
	for _, sign := range []float64{-1, 1} {
		moved := append([]SegmentCT(nil), segments...)
		for i := range moved {
			moved[i].Conditions.PH += sign * ph
			moved[i].Conditions.TempC += sign * temp
		}
		if v := LogInactivation(p, d, moved, Linear).Log - base; !math.IsNaN(v) {
			shift = math.Max(shift, math.Abs(v))
		}
	}
	return shift
}
