package upset

import "fmt"

// unknown lists what the record cannot say.
func unknown(in *Input, x *Explanation) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	for _, b := range x.Episode.Breaches {
		if b.Unknown > 0 {
			add("%s: %d minutes between the first and the last outside the limit have no number.", b.Title, b.Unknown)
		}
		if isNaN(b.MG) && b.What != EColiHigh {
			add("%s: how much water left in that state, because its flow is not known.", b.Title)
		}
		if b.Trust.Doubtful > 0 {
			add("%s: how much of it is real; %s.", b.Title, b.Trust.Says)
		}
	}
	for _, c := range x.Ruled {
		if !c.Ruled {
			add("%s.", c.Says)
		}
	}
	if len(x.NotReckoned) > 0 {
		add("Where the CT went and what would have held it: not reckoned, because CT was short on the word of %s alone, which was in doubt.", and(x.NotReckoned))
	}
	if x.Split.Without != "" {
		add("Where the CT went in full: %s.", x.Split.Without)
	}
	if s := x.Split.Share; len(x.Split.Parts) > 0 && s < 0.9 {
		add("Where the CT went in %s of the minutes short, for which a normal or a reading is missing.", percent(1-s))
	}
	switch n := len(x.Normal.Days); {
	case n == 0:
		add("What is normal for these hours: the record holds no clean day beside the episode.")
	case x.Normal.After:
		add("What was normal before: too few clean days lie before the episode, so days after it were taken too (%s).", list(x.Normal.Days))
	}
	if len(in.Samples) == 0 {
		add("What the bacteria did: no E. coli results were given.")
	} else if len(samplesIn(in, x)) == 0 {
		add("What the bacteria did: no E. coli sample was taken between %s and %s.", moment(x.Episode.Start, in.Loc), moment(x.Window.End, in.Loc))
	}
	if !x.Receiving.Measured {
		add("What passed into the receiving water: the residual after dechlorination is not known for this time.")
	} else {
		if x.Receiving.Cover < x.Settings.MinCover {
			add("What passed into the receiving water in %s of the time.", percent(1-x.Receiving.Cover))
		}
		if isNaN(x.Receiving.FourDay.MgL) {
			add("The four-day average at the outfall: the record around the episode is shorter than four days, or has gaps.")
		}
	}
	return out
}

// samplesIn lists the E. coli samples from the episode's start to the end of the
// window.
func samplesIn(in *Input, x *Explanation) []Sample {
	var out []Sample
	for _, s := range in.Samples {
		if s.At >= x.Episode.Start && s.At < x.Window.End {
			out = append(out, s)
		}
	}
	return out
}
