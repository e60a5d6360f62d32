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
//	minute columns ─▶ health of each signal: still.go, noise.go, clip.go, response.go,
//	                  service.go; of all together: link.go, clock.go
//	              ─▶ five-minute medians (bin.go)
//	              ─▶ dose, demand, mass balance (balance.go); flow against influent (flow.go)
//	              ─▶ expected ORP with its band (model.go, regime.go, lag.go, fit.go, expected.go)
//	              ─▶ evidence streams (evidence.go, usual.go) and their wander (wander.go, stream.go)
//	              ─▶ competing causes (hypothesis.go), looked for at every bin (search.go), given
//	                 a beginning and an end (refine.go, shape.go) and judged (verdict.go)
//	              ─▶ what is large enough to tell (told.go), process events (process.go), one finding
//	                 per event (merge.go), in words (message.go, checks.go, witness.go) with an
//	                 earned confidence (confidence.go)
//
// The fit and the wander are learned from the whole record, with what is plainly
// wrong held out in a second pass; the search itself looks only back, so the alarm
// times in Result are those of a rule that worked on the readings so far.
//
// Nothing here reads a file or knows a plant; Input is plain columns.
package orp
