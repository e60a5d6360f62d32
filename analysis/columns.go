package analysis

// Fold says how the hours' figures of a column make those of a longer time, where
// all of the hours are known.
type Fold string

const (
	FoldMean    Fold = "mean" // by time
	FoldSum     Fold = "sum"
	FoldLowest  Fold = "lowest"
	FoldHighest Fold = "highest"
	FoldNone    Fold = "" // worked out anew for each time, or never for more than an hour
)

// ColumnKind is what a column holds: the end of its name in the sheets after a
// point, basin or feed, the end of its title likewise, its working unit, and how
// hours make a day. A tag's own mean has the tag's unit.
type ColumnKind struct {
	Key, Title, Unit string
	Fold             Fold
}

// The columns of the hourly and the daily table. Reports choose by these, never by
// the names.
var (
	// Of tags.
	SignalMean        = &ColumnKind{"", "", "", FoldMean}
	Load              = &ColumnKind{"_load", ": load", "lb/d", FoldMean}
	LoadLow           = &ColumnKind{"_load_low", ": load, lower end of its band", "lb/d", FoldNone}
	LoadHigh          = &ColumnKind{"_load_high", ": load, upper end of its band", "lb/d", FoldNone}
	Mass              = &ColumnKind{"_mass", ": mass", "lb", FoldSum}
	FlowWeighted      = &ColumnKind{"_flow_weighted", ": flow-weighted mean", "mg/L", FoldNone}
	Composite         = &ColumnKind{"_composite", ": composite", "mg/L", FoldNone}
	CompositeLoad     = &ColumnKind{"_composite_load", ": load by composite", "lb/d", FoldNone}
	CompositeLoadLow  = &ColumnKind{"_composite_load_low", ": load by composite, lower end of its band", "lb/d", FoldNone}
	CompositeLoadHigh = &ColumnKind{"_composite_load_high", ": load by composite, upper end of its band", "lb/d", FoldNone}
	LoadRemoval       = &ColumnKind{"_removal", ", by load", "%", FoldNone}

	// Of basins.
	BasinFlow         = &ColumnKind{".flow", "", "MGD", FoldMean}
	ContactTimeLeast  = &ColumnKind{".contact_time_min", "Contact time of the water leaving, shortest", "min", FoldLowest}
	ContactTimeMean   = &ColumnKind{".contact_time_mean", "Contact time of the water leaving, mean", "min", FoldMean}
	CTLeast           = &ColumnKind{".ct_min", "CT of the water leaving, least", "mg·min/L", FoldLowest}
	CTMean            = &ColumnKind{".ct_mean", "CT of the water leaving, mean", "mg·min/L", FoldMean}
	ResidualLowest    = &ColumnKind{".residual_lowest", "Lowest residual of the hour", "mg/L", FoldLowest}
	ContactTimeSteady = &ColumnKind{".contact_time_steady", "Contact time at the hour's peak flow", "min", FoldLowest}
	CTSteady          = &ColumnKind{".ct_steady", "Lowest residual × contact time at peak flow", "mg·min/L", FoldLowest}
	CTPath            = &ColumnKind{".ct_path", "Exposure along the path", "mg·min/L", FoldMean}
	T10Steady         = &ColumnKind{".t10_steady", "T10 at the hour's peak flow", "min", FoldLowest}
	ModalTimeSteady   = &ColumnKind{".modal_time_steady", "Modal contact time at the hour's peak flow", "min", FoldLowest}
	CTLow             = &ColumnKind{".ct_low", "CT, lower end of its band", "mg·min/L", FoldLowest}
	CTHigh            = &ColumnKind{".ct_high", "CT, upper end of its band", "mg·min/L", FoldNone}
	CTRequired        = &ColumnKind{".ct_required", "CT required", "mg·min/L", FoldNone}
	LogByTables       = &ColumnKind{"_log", ", by the tables", "ratio", FoldLowest}
	LogLow            = &ColumnKind{"_log_low", ", lower end of its band", "ratio", FoldLowest}
	LogHigh           = &ColumnKind{"_log_high", ", upper end of its band", "ratio", FoldNone}
	LogByRegression   = &ColumnKind{"_log_regression", ", by the regression", "ratio", FoldLowest}
	LogPredicted      = &ColumnKind{".predicted_log_reduction_", "Coliform log reduction ", "ratio", FoldNone}
	TreatedVolume     = &ColumnKind{"treated.volume", "Water treated", "MG", FoldSum}

	// Of feeds.
	ActiveFeed          = &ColumnKind{".feed", ": active chemical", "lb/d", FoldMean}
	Dose                = &ColumnKind{".dose", ": dose", "mg/L", FoldMean}
	DoseLow             = &ColumnKind{".dose_low", ": dose, lower end of its band", "mg/L", FoldNone}
	DoseHigh            = &ColumnKind{".dose_high", ": dose, upper end of its band", "mg/L", FoldNone}
	ChlorineUsed        = &ColumnKind{".chlorine_used", ": used", "lb", FoldSum}
	ChemicalUsed        = &ColumnKind{".chemical_used", ": used", "lb", FoldSum} // that takes chlorine out
	SolutionUsed        = &ColumnKind{".solution_used", ": solution used", "gal", FoldSum}
	TankDrawn           = &ColumnKind{".tank_drawn", ": drawn from the tank", "gal", FoldNone}
	Demand              = &ColumnKind{".demand", ": demand of the water leaving", "mg/L", FoldMean}
	DemandPerAmmonia    = &ColumnKind{".demand_per_ammonia", ": demand per mg/L ammonia N", "ratio", FoldMean}
	Cl2ToN              = &ColumnKind{".cl2_to_n", ": Cl2:N by weight", "ratio", FoldMean}
	Needed              = &ColumnKind{".needed", ": needed for the residual", "mg/L", FoldMean}
	NeededByMolarMasses = &ColumnKind{".needed_stoichiometric", ": needed by molar masses, without margin", "mg/L", FoldMean}
	AppliedOverNeeded   = &ColumnKind{".excess", ": applied over needed", "%", FoldNone}
	AppliedPerResidual  = &ColumnKind{".per_chlorine", ": applied per residual, by weight", "ratio", FoldNone}
)
