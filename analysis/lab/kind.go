package lab

import "strings"

// Kinds of samples, folded. Sheets mix the water's samples with those that control the
// laboratory's work. Common practice, no source; a duplicate checks a result and is
// none of its own (permits that have them averaged say so).
var (
	controlWords = set("field blank|trip blank|travel blank|equipment blank|rinse blank|rinsate blank|method blank|lab blank|laboratory blank|reagent blank|filter blank|blank|" +
		"spike|matrix spike|matrix spike duplicate|spiked sample|blank spike|laboratory control sample|lab control sample|laboratory control|lab control|control|control sample|positive control|negative control|" +
		"standard|check standard|calibration standard|calibration check|reference standard|quality control|qc|qc sample|qa|qa/qc|proficiency|proficiency test|pt sample|" +
		"duplicate|field duplicate|field dup|lab duplicate|laboratory duplicate|lab dup|dup|duplicate sample|split|split sample|field split|replicate check")
	controlCodes = set("fb|tb|eb|rb|mb|lb|ms|msd|lcs|lcsd|bs|bsd|ccv|icv|ccb|icb|std|fd|ld|dp|pe|pt")
	waterWords   = set("routine|regular|sample|normal|n|reg|s|primary|original|parent|field sample|environmental|env|investigative|compliance|permit|resample|repeat|re sample|special|extra|" +
		"grab|composite|comp|c|g|24 hr composite|24h composite|24 hour composite|test|unknown|unk|samp|trg|dmr")
)

func set(words string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Split(words, "|") {
		m[w] = true
	}
	return m
}

// SampleKind reads a word for the kind of a sample: whether it controls the
// laboratory's work, and whether the word is known at all. codes takes short codes
// (FB, MS, LCS) too, which mean that only in a column of kinds.
func SampleKind(word string, codes bool) (control, known bool) {
	f := strings.TrimRight(Fold(word), " 0123456789#")
	if controlWords[f] || codes && controlCodes[f] {
		return true, true
	}
	for _, w := range []string{" blank", " spike", " duplicate", " dup"} {
		if strings.HasSuffix(f, w) {
			return true, true
		}
	}
	return false, waterWords[f]
}
