package draft

import "weirbook/analysis/quantity"

// candidate is what is known of a kind before looking at a tag: words in its
// name, and where its values lie, in the kind's working unit.
type candidate struct {
	kind  quantity.Kind
	words []string // tokens, or parts of tokens when they begin with *
	// low and high: nearly all values of a working instrument lie between.
	// from and to: the middle value usually does.
	low, high, from, to float64
	lab                 bool // as a rule a laboratory result
	unit                string
	title               string
}

var candidates = []candidate{
	{quantity.ORP, []string{"orp", "redox", "*orp", "*redox", "eh", "rx"}, -600, 1100, 150, 900, false, "mV", "ORP"},
	{quantity.ChlorineTotal, []string{"trc", "tcr", "tcl", "tcl2", "tclr", "cl2", "cl", "cl2t", "clt", "clges", "*clges", "*cl2", "*chlorine", "*residual", "resid", "*chlor", "*cloro", "*chlore", "dpd"}, 0, 20, 0, 8, false, "mg/L", "total chlorine residual"},
	{quantity.ChlorineFree, []string{"frc", "fcl", "fcl2", "cl2f", "clf", "free", "fac", "*free", "*libre", "*livre", "*frei"}, 0, 20, 0, 8, false, "mg/L", "free chlorine residual"},
	{quantity.Flow, []string{"fit", "fi", "ft", "fir", "flow", "*flow", "q", "fm", "fe", "*debit", "*durchfl", "*caudal", "*vazao", "*portata", "*debiet", "zufluss", "abfluss", "qzu", "qab", "mgd", "gpm"}, 0, 2000, 0.01, 500, false, "", "flow"},
	{quantity.FlowTotal, []string{"fqi", "fq", "fqit", "*total", "tot", "*totalizer", "*totaliser", "*counter", "zaehler", "volumen", "cumul"}, 0, 1e15, 0, 1e14, false, "", "flow total"},
	{quantity.PH, []string{"ph", "pht", "phit"}, 2, 12.5, 5.5, 9, false, "pH", "pH"},
	{quantity.Temp, []string{"tit", "tt", "ti", "te", "temp", "*temp", "tp", "temperature", "wt"}, -5, 45, 3, 35, false, "", "temperature"},
	{quantity.AmmoniaN, []string{"nh3", "nh4", "nh3n", "nh4n", "nht", "amm", "*ammonia", "*ammonium", "*amoni", "*ammoni"}, 0, 80, 0, 45, false, "mg/L", "ammonia as N"},
	{quantity.NitriteN, []string{"no2", "no2n", "*nitrit"}, 0, 30, 0, 10, false, "mg/L", "nitrite as N"},
	{quantity.NitrateN, []string{"no3", "no3n", "*nitrat"}, 0, 100, 0, 40, false, "mg/L", "nitrate as N"},
	{quantity.TKN, []string{"tkn", "ntk"}, 0, 150, 0, 80, true, "mg/L", "total Kjeldahl nitrogen"},
	{quantity.Phosphorus, []string{"tp", "po4", "pges", "pt", "*phosph", "*fosf"}, 0, 50, 0, 15, true, "mg/L", "total phosphorus"},
	{quantity.CBOD5, []string{"cbod", "cbod5", "kbsb"}, 0, 2000, 1, 600, true, "mg/L", "CBOD5"},
	{quantity.BOD5, []string{"bod", "bod5", "bsb", "bsb5", "dbo", "dbo5", "bzv", "bzv5"}, 0, 2000, 1, 600, true, "mg/L", "BOD5"},
	{quantity.COD, []string{"cod", "csb", "dqo", "dco", "czv"}, 0, 5000, 5, 1500, true, "mg/L", "COD"},
	{quantity.TSS, []string{"tss", "ss", "sst", "mes", "afs", "*solids", "*suspen", "*schweb"}, 0, 5000, 0.5, 600, true, "mg/L", "total suspended solids"},
	{quantity.MLSS, []string{"mlss", "ts", "tsbb", "ssml"}, 100, 20000, 800, 9000, false, "mg/L", "mixed liquor suspended solids"},
	{quantity.Alkalinity, []string{"alk", "*alkal", "*alcal", "tac"}, 0, 1000, 20, 500, true, "mg/L", "alkalinity"},
	{quantity.DissolvedOxygen, []string{"do", "ldo", "od", "o2", "*oxyg", "*oxig", "*sauerst"}, 0, 25, 0.1, 14, false, "mg/L", "dissolved oxygen"},
	{quantity.TurbidityK, []string{"turb", "*turb", "ntu", "*trueb", "*troebel"}, 0, 1000, 0, 100, false, "NTU", "turbidity"},
	{quantity.EColi, []string{"ecoli", "coli", "*ecoli"}, 0, 1e7, 0.5, 1e5, true, "per 100 mL", "E. coli"},
	{quantity.FecalColiform, []string{"fecal", "faecal", "fc", "fcoli", "*fecal", "*faecal", "cf"}, 0, 1e7, 0.5, 1e5, true, "per 100 mL", "fecal coliform"},
	{quantity.TotalColiform, []string{"tcoli", "*totalcoliform"}, 0, 1e8, 0.5, 1e6, true, "per 100 mL", "total coliform"},
	{quantity.Enterococci, []string{"entero", "*entero"}, 0, 1e6, 0.5, 1e4, true, "per 100 mL", "enterococci"},
	{quantity.Level, []string{"lit", "lt", "li", "le", "level", "lvl", "*level", "*niveau", "*nivel", "*fuellst", "*pegel"}, -5, 100, 0, 40, false, "", "level"},
	{quantity.HypochloriteFeed, []string{"hypo", "hyp", "naocl", "*hypo", "*hipoc", "*hypoc", "*ipoclor", "*bleach", "*javel", "*lejia", "*chlorbl", "fic", "fv", "fcv", "sc", "sic", "dosing", "dose", "dos", "feed"}, 0, 2000, 0, 500, false, "", "hypochlorite feed"},
	{quantity.BisulfiteFeed, []string{"sbs", "smbs", "nahso3", "*bisul", "*bissul", "*bisol", "*metabi", "*sulfit", "*sulphit", "fic", "fv", "fcv", "sc", "sic", "dosing", "dose", "dos", "feed"}, 0, 2000, 0, 500, false, "", "bisulfite feed"},
	{quantity.ChlorineFeed, []string{"chlorinator", "cl2gas", "*chlorinator"}, 0, 20000, 0, 5000, false, "lb/d", "chlorine gas feed"},
	{quantity.SulfurDioxideFeed, []string{"so2", "sulfonator", "*sulfonat", "*sulfur"}, 0, 20000, 0, 5000, false, "lb/d", "sulfur dioxide feed"},
	{quantity.RunStatus, []string{"run", "running", "status", "sts", "on", "*run", "xs", "yi", "hs", "event"}, 0, 3, 0, 1, false, "on/off", "run status"},
	{quantity.ConductivityK, []string{"cond", "*conduc", "*condut", "leit", "*leitf", "lf", "ec"}, 10, 50000, 100, 5000, false, "µS/cm", "conductivity"},
}

// spans are the usual upper ends of instrument spans, in the kind's working
// unit. A draft takes the least that holds the readings with room: a span that
// is too tight would set the very excursions aside that matter.
var spans = map[quantity.Kind][]float64{
	quantity.ChlorineTotal:   {10, 20, 50},
	quantity.ChlorineFree:    {10, 20, 50},
	quantity.AmmoniaN:        {50, 100, 200},
	quantity.NitriteN:        {20, 50, 200},
	quantity.NitrateN:        {50, 100, 500},
	quantity.DissolvedOxygen: {20, 50},
	quantity.TurbidityK:      {100, 1000, 4000},
	quantity.MLSS:            {10000, 20000, 50000},
}

// feedWords say that something is fed, not what.
var feedWords = []string{"fic", "fv", "fcv", "sc", "sic", "dosing", "dose", "dos", "feed"}
