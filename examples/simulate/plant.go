package simulate

import "fmt"

// Regime says which chlorine a plant lives with.
type Regime string

// Regimes.
const (
	Nitrified     Regime = "nitrified"        // ammonia mostly below 0.2 mg/L N: free chlorine
	Partly        Regime = "partly-nitrified" // ammonia moves across the breakpoint within a day
	Chloraminated Regime = "chloraminated"    // ammonia far above the dose: combined chlorine only
)

// Plant holds the parameters of an invented plant. DefaultPlant gives a
// complete set; change fields afterwards.
type Plant struct {
	Name           string
	Regime         Regime
	DesignFlowMGD  float64 // mean dry-weather flow, MGD
	BasinGal       float64 // contact basin volume, gal
	Baffling       float64 // T10/T, 0.27 … 0.85
	Probes         int     // basin ORP probes: 1 (outlet) or 2 (middle and outlet)
	HasFree        bool    // free residual analyser at the basin outlet
	HasTotal       bool    // total residual analyser at the basin outlet
	HasAmmonia     bool    // ammonia analyser after secondary
	GrabsPerDay    int     // DPD grabs at the basin outlet, 0 … 8
	SetpointMgL    float64 // aim of the residual trim, mg/L, on total (free where there is no total)
	DoseMgL        float64 // flow-paced base dose, mg/L as Cl2
	TrimAuthority  float64 // the trim may move the dose by this fraction either way
	HypoMaxGPH     float64 // hypochlorite pump at full speed, gal/h
	HypoTurndown   float64 // lowest speed as a fraction of full speed
	BisulfiteRatio float64 // mg NaHSO3 per mg Cl2 that the dechlorination aims at
	SulfiteMaxGPH  float64 // bisulfite pump at full speed, gal/h
	TempMeanC      float64 // yearly mean water temperature, °C
	TempSwingC     float64 // half of the yearly range, °C
	PH             float64 // mean pH at the basin
	AmmoniaMgL     float64 // mean ammonia after secondary, mg/L N
	FastDemandMgL  float64 // mean demand met within seconds, mg/L as Cl2
	SlowDemandMgL  float64 // mean demand met over the contact time, mg/L as Cl2
}

// Nominal chemicals. Trade percent = g/L available chlorine / 10; 12.5 trade
// percent holds about 1.04 lb of chlorine per gallon (product tables). 38 %
// sodium bisulfite weighs about 11.1 lb/gal (common practice, no source).
const (
	hypoTradePercent  = 12.5
	hypoLbPerGalPerPc = 1.0432 / 12.5 // lb Cl2 per gal and trade percent
	sulfiteLbPerGal   = 0.38 * 11.1   // lb NaHSO3 per gal
	sulfitePerCl2     = 104.06 / 70.906
	lbPerMGDmgL       = 8.345404 // exact lb/d per MGD·mg/L
	galPerMinPerMGD   = 1e6 / 1440
)

// DefaultPlant gives a plant of the regime: two probes, both analysers, an
// ammonia analyser, four grabs a day.
func DefaultPlant(r Regime) Plant {
	p := Plant{
		Name: "Alder Flats", Regime: r,
		DesignFlowMGD: 4, BasinGal: 150_000, Baffling: 0.6,
		Probes: 2, HasFree: true, HasTotal: true, HasAmmonia: true, GrabsPerDay: 4,
		SetpointMgL: 2.2, DoseMgL: 4.9, TrimAuthority: 0.25,
		HypoMaxGPH: 22, HypoTurndown: 0.08,
		BisulfiteRatio: 1.9, SulfiteMaxGPH: 12,
		TempMeanC: 16, TempSwingC: 6, PH: 7.1,
		AmmoniaMgL: 0.08, FastDemandMgL: 1.3, SlowDemandMgL: 1.8,
	}
	switch r {
	case Partly:
		p.Name = "Bent Creek"
		p.DesignFlowMGD, p.BasinGal, p.Baffling = 3, 120_000, 0.55
		p.AmmoniaMgL, p.DoseMgL, p.SetpointMgL, p.TrimAuthority = 0.7, 7.5, 2.3, 0.15
		p.HypoMaxGPH = 26
	case Chloraminated:
		p.Name = "Cold Ferry"
		p.DesignFlowMGD, p.BasinGal, p.Baffling = 6, 200_000, 0.65
		p.AmmoniaMgL, p.DoseMgL, p.SetpointMgL = 18, 4.8, 3.0
		p.FastDemandMgL, p.SlowDemandMgL, p.PH = 1.1, 3, 7.3
		p.HypoMaxGPH, p.SulfiteMaxGPH = 34, 22
	}
	return p
}

// check reports the first parameter the simulation cannot work with.
func (p Plant) check() error {
	switch {
	case !(p.DesignFlowMGD > 0) || !(p.BasinGal > 0):
		return fmt.Errorf("plant %q: design flow and basin volume must be above zero", p.Name)
	case !(p.Baffling >= 0.27 && p.Baffling <= 0.85):
		return fmt.Errorf("plant %q: baffling factor %g is outside 0.27 to 0.85", p.Name, p.Baffling)
	case p.Probes < 0 || p.Probes > 2:
		return fmt.Errorf("plant %q: %d basin probes; 0, 1 or 2", p.Name, p.Probes)
	case !p.HasFree && !p.HasTotal:
		return fmt.Errorf("plant %q: needs a free or a total residual analyser", p.Name)
	case p.GrabsPerDay < 0 || p.GrabsPerDay > 8:
		return fmt.Errorf("plant %q: %d grabs a day; 0 to 8", p.Name, p.GrabsPerDay)
	case !(p.SetpointMgL > 0) || !(p.DoseMgL > 0) || !(p.HypoMaxGPH > 0) || !(p.SulfiteMaxGPH > 0):
		return fmt.Errorf("plant %q: setpoint, dose and pump sizes must be above zero", p.Name)
	}
	return nil
}
