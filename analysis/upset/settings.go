package upset

import (
	"time"

	"weirbook/analysis/quantity"
)

// Settings holds every threshold. Common practice or tuned on invented months,
// no published source, unless the comment names one.
type Settings struct {
	// Episodes
	EnterMin   int           // minutes outside the limit, without a minute inside, that open a breach
	LeaveMin   int           // minutes inside that close it
	LeaveShare float64       // inside means better than the limit by this share of it (hysteresis)
	MergeGap   time.Duration // breaches closer than this are one episode
	SampleHold time.Duration // an E. coli result stands for this long before it was taken

	// Normal
	NormalDays   int           // clean days that make the normal
	SearchDays   int           // days looked back for them
	MinDays      int           // fewer than this: the days after are taken too
	MinSameDays  int           // weekdays, or weekend days, alone make the normal when there are this many of them
	HourWindow   time.Duration // values within this of the same clock time count as the same hour
	CleanMargin  time.Duration // kept away from episodes and from Unclean
	CleanCover   float64       // share of a day's minutes of the hour that must be there
	RecoverAfter time.Duration // shown after the end of an episode

	// Moves
	BinMin      int                       // minutes in a bin (medians)
	Look        time.Duration             // how long before the episode moves are looked for
	Base        time.Duration             // the stretch before that which gives the level moved from
	Penalty     float64                   // PELT penalty = Penalty · long-run variance · ln n
	MoveSigmas  float64                   // a move is this many robust standard deviations
	HoldShare   float64                   // and lasts while it is above this share of that
	MinMoveMin  int                       // minutes a move must last
	RunInShare  float64                   // what goes before it at less than this share of its size is not part of it
	OnsetShare  float64                   // it began where it had come this share of its first size
	OnsetSigmas float64                   // or this many of its standard deviations, whichever is more
	OnsetNoise  float64                   // or this many times the scatter between neighbouring bins
	OnsetMost   float64                   // but at most this share of the size
	GapMin      int                       // readings missing for longer leave the beginning open
	StillShare  float64                   // a feed at or below this share of its usual level stands still
	StillRare   float64                   // and that is a move where it does so in no more than this share of clean time
	SettledMin  int                       // a level that lasts this long is one the signal had settled on
	ReachMin    int                       // a move's first size is taken over this long
	OnsetBack   time.Duration             // at most this long before its change point
	Tie         time.Duration             // moves closer than this are told in the order of the water's way
	CreepLead   time.Duration             // a demand that moved longer than this before anything showed had been met by the feed
	Stale       time.Duration             // a move over for longer than this when the episode begins has nothing to do with it
	ChangeHours float64                   // scatter is judged on changes over this many hours
	ScatterDays int                       // in clean time this many days before and after
	Floors      map[quantity.Kind]float64 // least move worth telling of, in the kind's working unit
	FloorShare  map[quantity.Kind]float64 // the same as a share of the level moved from

	NoResidual float64 // mg/L: below it a demand may have been more than shows

	MinCover float64 // share of the time a signal must be there to be ruled out

	// Receiving water
	DetectMgL float64 // typical detection limit of total residual chlorine, mg/L
}

// DefaultSettings are those that the printed scores were reached with.
func DefaultSettings() Settings {
	return Settings{
		EnterMin: 10, LeaveMin: 30, LeaveShare: 0.05, MergeGap: 2 * time.Hour, SampleHold: time.Hour,
		NormalDays: 7, SearchDays: 21, MinDays: 3, MinSameDays: 2, HourWindow: 30 * time.Minute, CleanMargin: 2 * time.Hour,
		CleanCover: 0.5, RecoverAfter: 4 * time.Hour,
		BinMin: 5, Look: 10 * time.Hour, Base: 8 * time.Hour, Penalty: 3, MoveSigmas: 3.5, HoldShare: 0.5,
		MinMoveMin: 15, RunInShare: 0.4, OnsetShare: 0.15, OnsetSigmas: 1, OnsetNoise: 1.5, OnsetMost: 0.6, GapMin: 15, StillShare: 0.05, StillRare: 0.01, SettledMin: 180, ReachMin: 60, OnsetBack: 3 * time.Hour, Tie: 15 * time.Minute, CreepLead: 45 * time.Minute, Stale: time.Hour,
		ChangeHours: 6, ScatterDays: 31,
		Floors: map[quantity.Kind]float64{
			quantity.AmmoniaN: 0.15, quantity.NitriteN: 0.1, quantity.ChlorineTotal: 0.2, quantity.ChlorineFree: 0.2,
			quantity.ORP: 20, quantity.PH: 0.2, quantity.Temp: 1, quantity.TurbidityK: 1, quantity.TSS: 3,
			Dose: 0.4, Demand: 0.4,
		},
		FloorShare: map[quantity.Kind]float64{
			quantity.Flow: 0.2, quantity.HypochloriteFeed: 0.12, quantity.ChlorineFeed: 0.12,
			quantity.BisulfiteFeed: 0.2, quantity.SulfurDioxideFeed: 0.2, Strength: 0.08, Contact: 0.2,
		},
		MinCover: 0.75, NoResidual: 0.1,
		DetectMgL: 0.05,
	}
}
