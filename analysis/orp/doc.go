// Package orp says what an ORP probe should read for the chlorine residual
// beside it, and who is wrong when it does not: the probe, the residual
// analyser, the flow meter, the process, or the data themselves.
//
// ORP is a potential in millivolts. It is never turned into a concentration
// here: the residual, the pH and the temperature are used to say what the probe
// should read, and the difference is evidence.
//
// # Route
//
//	minute columns ─▶ health of each signal (health.go, link.go, service.go)
//	              ─▶ five-minute medians (bin.go)
//	              ─▶ flow against influent flow (flow.go)
//	              ─▶ dose, demand, mass balance (balance.go)
//	              ─▶ expected ORP with its band (model.go, fit.go, ageing.go)
//	              ─▶ evidence streams (evidence.go)
//	              ─▶ competing hypotheses, bin by bin (hypothesis.go)
//	              ─▶ episodes, their onset and end (episode.go, onset.go)
//	              ─▶ process events (process.go), dechlorination (dechlor.go)
//	              ─▶ one finding per event (merge.go), in words (message.go)
//
// Nothing here reads a file or knows a plant; Input is plain columns.
package orp
