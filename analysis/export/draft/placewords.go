package draft

import "weirbook/analysis/quantity"

// Sampling points that a draft uses, along the water.
const (
	influent    = "influent"
	aeration    = "aeration"
	secondary   = "secondary"
	basinInlet  = "basin_inlet"
	basinMiddle = "basin_middle"
	basinOutlet = "basin_outlet"
	outfall     = "outfall"

	dechlorinated = "dechlorinated" // of a train
	returnSludge  = "return_sludge"
	wasteSludge   = "waste_sludge"
)

// route is the order in which water passes the points.
var route = []string{influent, aeration, secondary, basinInlet, basinMiddle, basinOutlet, outfall}

// Words that name places, of English, German, Spanish, French, Portuguese and
// Dutch. Common practice, no source.
var (
	contactWords   = list("ccb cct ccc contact* kontakt* contato* chlorkontakt* chlorination disinf* desinf* basin chamber serpentin*")
	inWords        = list("in inlet inf infl influent zulauf zul zu einlauf entrada ent entree arrivee ingreso afluente affluent aanvoer influente begin head qzu zufluss")
	outWords       = list("out outlet eff effl effluent ablauf abl ab auslauf sal salida sortie saida efluente effluente exit weir end afvoer uitlaat qab abfluss")
	middleWords    = list("mid midpoint midway middle half halfway mitte medio milieu meio intermed* midden")
	secondaryWords = list("sec secondary secundario secondaire secundar* clar clarif* decant* nk nkb nks nachklaer* fst sedim*")
	finalWords     = list("outfall final fin fnl fe discharge disch river creek receiving dechlor* dechl decl declor* entchlor* rejet vertido lancamento vorflut* einleit* recept* afterdechlor postdechlor*")
	beforeWords    = list("before pre upstream avant antes vor prior")
	afterWords     = list("after post downstream apres despues nach behind leaving")
	dechlorWords   = list("dechlor* dechl decl declor* entchlor*")
	rawWords       = list("raw headworks hw sewage rohabw* roh brut* crud* hdwks")
	aerationWords  = list("aer aerat* aerob* belebung* bb mlss mixed reactor bioreactor aireac* anox*")
	returnWords    = list("ras return ruecklauf* rs recirc* retorno")
	wasteWords     = list("was waste wasting ueberschuss* purga excess surplus")
)

// strong is the weight of a word that names one place only.
const strong = 6.0

// noChlorine are kinds that an aeration basin has and a contact basin seldom, so
// that a bare "basin" beside aeration is no contact basin.
var noChlorine = map[quantity.Kind]bool{quantity.DissolvedOxygen: true, quantity.MLSS: true, quantity.AmmoniaN: true, quantity.NitrateN: true, quantity.NitriteN: true}

// byWords says what the words of a name or a description tell of the place: how
// much for each point, and the word. More than one point where a word fits several.
func byWords(ws []string, kind quantity.Kind) (map[string]float64, string) {
	contact, in, out := contactWords.in(ws), inWords.in(ws), outWords.in(ws)
	sec, fin, dechlor := secondaryWords.in(ws), finalWords.in(ws), dechlorWords.in(ws)
	one := func(at string, why string) (map[string]float64, string) { return map[string]float64{at: strong}, why }
	flow := kind == quantity.Flow || kind == quantity.FlowTotal
	switch {
	case flow && returnWords.in(ws) != "":
		return one(returnSludge, returnWords.in(ws))
	case flow && wasteWords.in(ws) != "":
		return one(wasteSludge, wasteWords.in(ws))
	case dechlor != "" && beforeWords.in(ws) != "":
		return one(basinOutlet, beforeWords.in(ws)+" "+dechlor)
	case beside(ws) != "" && sulfiteWords.in(ws) != "" && beforeWords.in(ws) != "":
		return one(basinOutlet, beside(ws))
	case beside(ws) != "" && sulfiteWords.in(ws) != "":
		return one(outfall, beside(ws))
	case beside(ws) != "" && afterWords.in(ws) != "":
		return one(basinInlet, beside(ws))
	case contact == "" && sec != "" && dechlor != sec && flow:
		return map[string]float64{secondary: 1.5}, sec // or a return flow, or a waste
	case contact == "" && sec != "" && dechlor != sec:
		return one(secondary, sec)
	case fin != "" && flow:
		return one(basinOutlet, fin) // loads, dose and contact time want the flow through the basin
	case fin != "":
		return one(outfall, fin)
	case aerationWords.in(ws) != "" && noChlorine[kind]:
		return one(aeration, aerationWords.in(ws))
	case middleWords.in(ws) != "":
		return one(basinMiddle, middleWords.in(ws))
	case contact != "" && out != "":
		return one(basinOutlet, contact+" "+out)
	case contact != "" && in != "":
		return one(basinInlet, contact+" "+in)
	case contact != "":
		return map[string]float64{basinOutlet: 4, basinMiddle: 1, basinInlet: 1}, contact
	case rawWords.in(ws) != "":
		return one(influent, rawWords.in(ws))
	case aerationWords.in(ws) != "":
		return one(aeration, aerationWords.in(ws))
	case in != "" && out != "":
		return nil, ""
	case in != "" && (isResidual(Guess{Measures: kind}) || kind == quantity.ORP):
		return one(basinInlet, in) // no chlorine is met further up
	case contains(ws, "inlet"):
		return map[string]float64{basinInlet: 3, influent: 3}, in
	case in != "":
		return one(influent, in)
	case out != "" && flow:
		return one(basinOutlet, out)
	case out != "" && (kind == quantity.PH || kind == quantity.Temp || kind == quantity.ORP || isResidual(Guess{Measures: kind})):
		return map[string]float64{basinOutlet: 3, outfall: 3}, out
	case out != "":
		return map[string]float64{outfall: 4, basinOutlet: 3}, out
	}
	return nil, ""
}
