package health

// Settings are the thresholds of a signal's health. All are common practice or tuned
// on simulated months, no source.
type Settings struct {
	FrozenMin          int     // minutes of the window in which stillness is looked for
	FrozenShare        float64 // share of the tag's usual movement below which it stands still
	DitherMin          int     // minutes of the window for a signal that only flickers
	DitherShare        float64 // share of the usual movement below which it only flickers
	CoarseShare        float64 // share of minutes with a change below which stillness is told by the changes that did not come
	MissedChanges      float64 // changes that should have come before such a tag has stopped
	MissedScales       float64 // and so many Gumbel scales above what the longest rest of its usual day misses
	MissedMin          int     // minutes it must have stood still besides
	NearNothing        float64 // share of its upper quartile below which a signal hardly moves
	MissedMaxMin       int     // minutes: a tag whose changes take longer to miss is too quiet to tell
	CarriedMin         int     // minutes before a hole that are only the last value carried forward
	BlankMin           int     // minutes without a reading before a group of tags is silent
	MissingMin         int     // minutes without a reading before one flow meter alone is
	LinkMissed         float64 // changes that all tags of a group together should have brought before the link is at fault
	LinkEach           float64 // changes that each of them should have brought
	LinkApartMin       int     // minutes by which the tags of a group may stop and start apart
	NoiseMin           int     // minutes of the running median of movement
	NoiseLeast         int     // minutes: shorter bursts are passing
	NoiseRatio         float64 // times the tag's usual movement that are noise
	NoiseScales        float64 // and Gumbel scales above the largest of its usual days
	ResidualNoiseRatio float64 // the same for a residual, which chemistry makes restless
	RestlessRatio      float64 // times its restless hours, for a tag stored when it changes
	ResponseHours      int     // hours over which a probe's moves are counted
	ResponseShare      float64 // share of its usual quarter-hour moves below which it has lost its response
	TopShare           float64 // of the span: a reading within so much of its end stands at it
	ClipMin            int     // minutes at one end value within six hours
	ServiceMax         int     // minutes: a dip that comes back within this is service
	ServiceDipMV       float64 // mV by which a probe leaves its level when it is lifted out
	SettleMin          int     // minutes masked after a service dip, at most
	OrdinaryDays       int     // days: what a tag does more often than once in so many is ordinary for it
	OrdinaryTimes      float64 // and only what lasts so many times longer is told
	UnitFactor         float64 // times its usual, above which a tag is taken to be in another unit
	LinkTags           int     // tags that stop together before the link is at fault
}

// DefaultSettings are those the score in DEVELOPERS.md was reached with.
func DefaultSettings() Settings {
	return Settings{
		FrozenMin: 28, FrozenShare: 0.2, DitherMin: 120, DitherShare: 0.45,
		CoarseShare: 0.5, MissedChanges: 15, MissedScales: 5, MissedMin: 66, MissedMaxMin: 840, NearNothing: 0.12, CarriedMin: 63,
		BlankMin: 30, MissingMin: 240, LinkMissed: 30, LinkEach: 4, LinkApartMin: 5,
		NoiseMin: 30, NoiseLeast: 110, NoiseRatio: 2.2, NoiseScales: 3, ResidualNoiseRatio: 5, RestlessRatio: 7,
		ResponseHours: 8, ResponseShare: 0.3, TopShare: 0.002, ClipMin: 45,
		ServiceMax: 90, ServiceDipMV: 40, SettleMin: 45,
		OrdinaryDays: 3, OrdinaryTimes: 2.5, UnitFactor: 12, LinkTags: 3,
	}
}
