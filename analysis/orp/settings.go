package orp

import (
	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/law"
)

// Settings holds every threshold. All are common practice or tuned on simulated
// months, no published source, unless the comment names one.
type Settings struct {
	health.Settings              // of a signal by itself
	Law             law.Settings // of what a probe should read

	// Nothing to judge
	IdleFlow      float64 // share of the usual flow below which no water leaves
	IdleMin       int     // minutes of it that count
	IdleSettleMin int     // minutes after it until the water is fresh, at least
	UnusedH       int     // hours without chlorine fed or found that are a closed season, not a lost feed

	// Health of a signal
	ResponseLeastH   int     // hours: a shorter loss is passing
	FinalStillMV     float64 // mV: less than this at the outfall probe says that no chlorine passed
	ClockCorrelation float64 // least correlation of a feed with the reading that steers it
	ClockHours       int     // hours that an hour's shift must last

	// Flow
	FlowLogRatio float64 // |ln(flow / influent)| beyond usual

	// Hypotheses, log-likelihood units
	EnterFast         float64 // likelihood ratio at which something has begun within hours
	EnterSlow         float64 // the same over days
	Over              float64 // by how much it must be over "all well" when every usual is granted its slack
	OverTurning       float64 // the same where free chlorine comes and goes, which no law follows well
	OverWitnessed     float64 // the same there for an analyser that two grabs speak against
	TurningDemand     float64 // share of the usual dose that demand may come and go by there
	TurningResponseH  int     // hours from which a lost response is told there: the chemistry is calm for some
	OverBalance       float64 // the same for demand and flow, which must also be large
	ShareTurning      float64 // least posterior share of a verdict where free chlorine comes and goes
	SlackMV, SlackMgL float64 // how well the usual of a probe and of the demand is known, at best
	Misfit            float64 // standard deviations by which the winner may miss one witness
	ChemistryMV       float64 // a probe that falls further is itself at fault: no chemistry takes so much
	CommonMV          float64 // least common move of the probes that is taken for chemistry
	ProbeMV           float64 // least error of a probe that is told
	ProbeRatio        float64 // least likelihood ratio of it
	ProbeShare        float64 // least posterior share of it, unless it is very plain
	OffsetShare       float64 // the same for an offset that is neither a drift nor follows a service
	AnalyserLog       float64 // least |log10| of an analyser's error that is told
	AnalyserDoubtH    int     // hours from which a doubtful verdict on an analyser (share below ProbeShare) is not told
	Stands            float64 // share of a probe's or flow's error by which its readings stand away from usual
	LeastMin          int     // minutes: shorter episodes are not told
	GrabK, GrabH      float64 // CUSUM that dates an alarm, of single grab log ratios, in standard deviations (K 0.5 is Page's choice for one sigma)
	GrabCharge        float64 // the most that each grab may weigh in a verdict: one in forty is a blunder, spread over two decades
	GrabFloor         float64 // least standard deviation of a grab's log10 ratio

	// Sudden changes of demand
	ContrastMgL      float64 // mg/L of two hours against four before, at least; less where the residual is low
	ContrastScales   float64 // Gumbel scales above the usual largest contrast of a day
	ContrastSure     float64 // times that threshold that make an alarm of it; less is a suspicion
	ContrastResidual float64 // share by which the residual went along
	ContrastMV       float64 // mV by which the probes may stand the other way
	SulfiteShort     float64 // natural logarithm by which sulfite per chlorine may lie under its usual and still be enough
	ContrastWander   float64 // times a probe's own usual move between such hours that count as standing off
	LoadStep         float64 // natural logarithm by which the dose steps up with a weak load, at least
	LoadScales       float64 // and Gumbel scales above the largest step of a usual day

	// Next to nothing
	NothingShare float64 // of its usual: a residual below it shows next to nothing
	NothingMin   int     // minutes of it
	NothingMV    float64 // mV by which ORP should then have fallen, at least, before it may speak
	OverDose     float64 // share of the usual dose by which a residual above the dose cannot be true

	// Ammonia
	CombinedMin   int     // minutes with free over total under half its usual
	CombinedMV    float64 // mV that a probe then falls beyond what the total explains
	AmmoniaMgL    float64 // mg/L N of an ammonia analyser, at least
	AmmoniaScales float64 // Gumbel scales above the usual largest value of a day
	AmmoniaMin    int     // minutes of it
	OnsetDemand   float64 // mg/L by which demand moves when chemistry, and not the probe, falls; at most 0.3 of the dose

	// A probe in the control loop
	LoopResidual float64 // times its usual residual
	LoopDose     float64 // and dose, at which a probe that shows none of it is blind
	LoopShortMV  float64 // mV that it then stands short, at least

	// Flow without another meter
	FlowStepScales float64 // Gumbel scales above the usual largest jump of a day
	FlowStepH      int     // hours within which it jumps back

	// Grabs one by one, in natural logarithms
	GrabScatter float64 // least scatter of a grab's ratio
	GrabAllow   float64 // least allowance of the CUSUM
	GrabStep    float64 // scatters that one grab may add, besides the allowance
	GrabSum     float64 // scatters at which the sum speaks

	// Process
	DemandRise      float64 // mg/L above usual
	DemandShare     float64 // of the usual dose; the larger of both counts
	DemandStands    float64 // share of the rise by which the middle reading inside stands above the usual
	ResidualFall    float64 // share by which the residual falls that makes half of the rise enough
	DemandMin       int     // minutes that one must last, unless it is twice as large
	DemandDoubtH    int     // hours from which a rise that the residual does not show needs the next
	DemandShareOf   float64 // least posterior share of such a rise
	CombiningLog    float64 // log10 of total over free chlorine, beyond usual
	DemandSlowH     int     // hours from which a rise needs the next
	DemandSlow      float64 // likelihood ratio
	DemandSure      float64 // and this one to be an alarm
	SurplusDoubtH   int     // hours from which a doubtful surplus is the plant's new usual
	SurplusMaxH     int     // hours: a longer surplus is the plant's new usual
	DemandMaxH      int     // hours: a longer change is the plant's new usual, not an event
	FeedShare       float64 // of usual feed below which the feed is lost
	FeedMin         int     // minutes of it
	StormRatio      float64 // flow above the usual of the hours around, as a share of the mean, plus one
	StormScales     float64 // and Gumbel scales above the usual largest value of a day
	StormMin        int     // minutes of it
	StormRiseMin    int     // minutes in which it comes
	OutfallMin      int     // minutes with chlorine after dechlorination
	OutfallScales   float64 // Gumbel scales of that chlorine above the usual largest of a day
	OutfallOverload float64 // times the usual residual before dechlorination that explain it
	SurplusMin      int     // minutes that a sulfite surplus must last
	FinalMgL        float64 // residual after dechlorination that matters

	NoiseH       int     // hours that a burst of noise must last to be an alarm,
	NoiseSure    float64 // unless it is so many times its usual
	SlowH        int     // hours from an event's start to its alarm from which its evidence is slow
	SlowShare    float64 // posterior share below which a verdict on an instrument is a suspicion
	ConfirmH     int     // hours after which what nothing confirms anew falls silent
	ConfirmLeast int     // confirmations that make an alarm of slow evidence

	OftenLeast int // so many events of a kind of the process, and more than one in
	OftenDays  int // days, are the plant's way, and only what lasts OrdinaryTimes longer is told

	MergeMin int // minutes: silences shorter than this do not end an event
}

// DefaultSettings are those the score in DEVELOPERS.md was reached with.
func DefaultSettings() Settings {
	return Settings{
		Settings: health.DefaultSettings(),
		Law:      law.DefaultSettings(),

		IdleFlow: 0.02, IdleMin: 10, IdleSettleMin: 60, UnusedH: 72,
		ResponseLeastH: 10,
		FinalStillMV:   30, ClockCorrelation: 0.25, ClockHours: 18,
		FlowLogRatio: 0.12,
		EnterFast:    16, EnterSlow: 18, Over: 8, OverTurning: 30, OverWitnessed: 16, TurningDemand: 0.2, TurningResponseH: 12, OverBalance: 5, ShareTurning: 0.985, SlackMV: 3, SlackMgL: 0.12, Misfit: 8, ChemistryMV: 380, CommonMV: 28, ProbeMV: 15, ProbeRatio: 80, ProbeShare: 0.95, OffsetShare: 0.985, AnalyserLog: 0.05, Stands: 0.3, AnalyserDoubtH: 24, LeastMin: 45,
		GrabK: 0.5, GrabH: 7, GrabCharge: 7.4, GrabFloor: 0.02,
		ContrastMgL: 0.3, ContrastScales: 6.2, ContrastSure: 1.5, ContrastResidual: 0.15, ContrastMV: 18, SulfiteShort: 0.2, ContrastWander: 3, LoadStep: 0.18, LoadScales: 3,
		NothingShare: 0.15, NothingMin: 100, NothingMV: 40, OverDose: 0.05,
		CombinedMin: 40, CombinedMV: 25, AmmoniaMgL: 0.8, AmmoniaScales: 5, AmmoniaMin: 90, OnsetDemand: 0.8,
		LoopResidual: 3, LoopDose: 1.6, LoopShortMV: 38,
		GrabScatter: 0.045, GrabAllow: 0.06, GrabStep: 1.5, GrabSum: 10,
		FlowStepScales: 6, FlowStepH: 96,
		DemandRise: 0.6, DemandShare: 0.18, DemandStands: 0.45, ResidualFall: 0.25, DemandMin: 150, DemandDoubtH: 6, DemandShareOf: 0.95, CombiningLog: 0.2, DemandSlowH: 18, DemandSlow: 35, DemandSure: 60, SurplusDoubtH: 12, SurplusMaxH: 24, DemandMaxH: 168, FeedShare: 0.05, FeedMin: 15,
		StormRatio: 1.36, StormScales: 3, StormMin: 180, StormRiseMin: 300,
		FinalMgL: 0.1, OutfallMin: 40, OutfallScales: 3, OutfallOverload: 1.3, SurplusMin: 60, MergeMin: 120,
		NoiseH: 4, NoiseSure: 25, SlowH: 12, SlowShare: 0.95, ConfirmH: 48, ConfirmLeast: 4, OftenLeast: 4, OftenDays: 7,
	}
}
