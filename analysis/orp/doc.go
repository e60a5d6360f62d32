// Package orp says what an ORP probe should read for the chlorine residual
// beside it, and who is wrong when it does not: the probe, the residual
// analyser, the flow meter, the process, or the data themselves.
//
// ORP is a potential in millivolts. It is never turned into a concentration
// here: the residual, the pH and the temperature are used to say what the probe
// should read, and the difference is evidence.
//
// METHOD.md has the equations and their sources.
//
// # Route
//
//	minute columns ─▶ what is left out: idle.go
//	              ─▶ health of each signal, and of all together: package health
//	              ─▶ five-minute medians: package signal
//	              ─▶ dose, demand, mass balance (balance.go); flow against influent (flow.go)
//	              ─▶ expected ORP with its band: package law
//	              ─▶ evidence streams (evidence.go) and their wander (wander.go, stream.go)
//	              ─▶ competing causes (hypothesis.go), looked for at every bin (search.go), given
//	                 a beginning and an end (refine.go, shape.go) and judged (verdict.go)
//	              ─▶ what is large enough to tell (told.go); what needs no law: contrast.go,
//	                 ammonia.go, flowstep.go, grabdrift.go, loop.go, clock.go, process.go
//	              ─▶ one event each (merge.go), alarm or suspicion (confirm.go), with an
//	                 earned confidence (confidence.go), in the words of its kind (kind.go, kinds_*.go)
//
// The fit and the wander are learned from the whole record, with what is plainly
// wrong held out in a second pass; the search itself looks only back, so the alarm
// times in Result are those of a rule that worked on the readings so far.
//
// Nothing here reads a file or knows a plant; Input is plain columns.
package orp
