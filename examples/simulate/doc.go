// Package simulate makes invented plants and what they would have exported:
// minute readings with the faults real instruments have, laboratory sheets,
// and the truth that no plant ever gets to see.
//
// It is what the demo shows, what tests and benchmarks draw on, and what the
// judging of findings is scored against. So its physics is deliberately not
// the model that the analysis fits, and it shares no formula code with it:
//
//   - the contact basin is a cascade of stirred tanks, as many as give the
//     stated baffling factor, with the rest of the volume stagnant;
//   - chlorine chemistry is a small set of rate equations (free, mono- and
//     dichloramine, organic chloramine, ammonia, fast and slow demand), so the
//     breakpoint comes out of the stoichiometry and is not drawn as a curve;
//   - an ORP probe follows a saturating mixed-potential law with a surface
//     layer that lags (hysteresis), ageing, cleaning steps and wander over
//     hours; nowhere is its potential a straight line in log residual;
//   - residual analysers steer the hypochlorite trim and the bisulfite, so an
//     analyser that lies also moves the process.
//
// Every random number comes from PCG streams named after what they drive and
// seeded by Config.Seed. The same seed gives the same month, and adding an
// event does not reshuffle the noise elsewhere. Values are rounded to each
// instrument's resolution, so that the last bit of a floating-point result,
// which may differ between processors, does not reach an export.
//
// All plants, tags and data are invented. Magnitudes are common practice in
// the trade, no source, unless a comment names one.
//
// # Route
//
//	Config ─▶ water (flow, temperature, ammonia, demand) ─▶ feeds ─▶ basin
//	       ─▶ dechlorination ─▶ instruments ─▶ Month (tags, laboratory, truth)
//	       ─▶ writers (long, wide, laboratory sheet, truth tables)
package simulate
