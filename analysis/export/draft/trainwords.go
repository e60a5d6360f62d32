package draft

import (
	"regexp"
	"strings"
)

// numbered are words that name a train or a basin when a small number or a
// letter follows: T1, "Train 2", CCB-A. Written with a gap, a lone T is a
// temperature or a tank and no train.
var (
	numberedJoined = regexp.MustCompile(`^(?:(T|TR|TRN|TRAIN|LINE|STREAM|CCB|CCT|CCC|BASIN)0?([1-9])|(TRAIN|LINE|STREAM|CCB|CCT|CCC|BASIN)([A-H]))$`)
	numberedStem   = regexp.MustCompile(`^(?:TR|TRN|TRAIN|LINE|STREAM|CCB|CCT|CCC|BASIN)$`)
	numberedGlued  = regexp.MustCompile(`((?:^|[^\p{L}\p{N}])(?:T|TR|TRN|TRAIN|LINE|STREAM|CCB|CCT|CCC|BASIN)0?[1-9])(\p{Lu}{2})`)
	numberedAfter  = regexp.MustCompile(`^(?:0?[1-9]|[A-H]|I|II|III|IV)$`)
)

// directions name parallel basins by where they lie. Single letters count only
// where a name begins with them: NH3-N is nitrogen.
var directions = map[string]string{
	"NORTH": "North", "SOUTH": "South", "EAST": "East", "WEST": "West",
	"NORD": "Nord", "SÜD": "Süd", "SUED": "Süd", "OST": "Ost", "NORTE": "Norte", "SUR": "Sur", "ESTE": "Este", "OESTE": "Oeste",
}

var directionLetters = map[string]string{"N": "North", "S": "South", "E": "East", "W": "West"}

// oneBasin follows a direction within a single basin.
var oneBasin = map[string]bool{"END": true, "SIDE": true, "CORNER": true, "WALL": true, "WEIR": true, "PASS": true}

// lettered: a loop number with a letter behind it, AIT-101A.
var lettered = regexp.MustCompile(`^(.*[0-9])([A-D])$`)

// instrumentLetters are letter codes of instruments, which say what measures
// and not where: FIT, AE, HV. AS is an activated sludge train.
var instrumentLetters = regexp.MustCompile(`^[ACEFHILPQSTVWXYZ](D?I?Q?[TCREIVXYZ]|D?[IQ]?SA?|[IQ]A)$`)

// noTrain are leading words that name a system, a sampling spot along one
// train, a kind of value or an instrument's duty, and so no train.
var noTrain = func() map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(`
		PLC RTU DCS SCADA HMI CP LCP MCC RIO IO AI AO DI DO CH CHAN CHANNEL SERVER NODE NET DEV DEVICE HIST HISTORIAN OPC SYS SYSTEM TAG PLANT WWTP WRF WWTF STP WTP AREA BLDG BUILDING FACILITY
		LAB LIMS GRAB COMP COMPOSITE ONLINE MANUAL FIELD BENCH HAND SAMPLE SMP SAMPLER
		AN ANALYZER ANALYSER SENSOR PROBE METER INST INSTRUMENT PANEL SKID PUMP TANK TK UNIT PT POINT PORT TAP LOC SITE STA STN STATION SPOT
		STAGE PASS ZONE CELL STEP BAY
		PRE POST UP DOWN UPSTREAM DOWNSTREAM US DS BEFORE AFTER FIRST SECOND BEGIN START END IN OUT ENTRY EXIT TOP BOTTOM FRONT BACK
		HI LO HIGH LOW MIN MAX AVG MEAN SP PV CV MV SETPOINT RAW CALC TREND ALARM
		DUTY STANDBY STBY SPARE BACKUP PRIMARY REDUNDANT LEAD LAG OLD NEW AUX MAIN TEMP TEMPORARY TEST CAL
		PRIM PRI TERT TERTIARY FILTER FILT FILTERED REUSE RECLAIM RECLAIMED RECYCLE WASTE RAS WAS UV DISINF DISINFECTION CHLORINATION CCBS DOSE TREATED CLEAN BYPASS TOTAL TOT COMMON COMBINED ALL
	`) {
		out[w] = true
	}
	for _, v := range []vocabulary{contactWords, inWords, outWords, middleWords, secondaryWords, finalWords, beforeWords, rawWords, aerationWords, returnWords, wasteWords} {
		for _, w := range v {
			out[strings.ToUpper(strings.Trim(w, "*"))] = true
		}
	}
	return out
}()

// basinWords in a name speak of a contact basin.
var basinWords = []string{"ccb", "cct", "ccc", "contact", "basin"}

// mayName says whether a leading word, and not a code or a common word, could be
// the name of a train: FF, MBR, Alder. digit tells that a number ends it.
func mayName(word string) (ok, digit bool) {
	bare := strings.TrimRight(word, "0123456789")
	if n := len(word) - len(bare); n > 1 || len(bare) < 1 || n == 0 && len(bare) < 2 {
		return false, false
	}
	if noTrain[bare] || noTrain[word] || bare != "AS" && instrumentLetters.MatchString(bare) || strings.ContainsAny(bare, "0123456789") {
		return false, false
	}
	for _, c := range candidates {
		for _, w := range []string{bare, word} {
			if n, _ := c.named([]string{strings.ToLower(w)}); n > 0 {
				return false, false
			}
		}
	}
	return true, bare != word
}
