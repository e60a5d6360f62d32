// Package upset explains a disinfection upset: when the water left the basin or
// the plant outside what is required of it, what moved first, where the CT went,
// what did not move, what would have held it, and what the receiving water got.
//
// # Route
//
//	judged columns ─▶ episodes, what they rest on, volume     (breach.go, episode.go)
//	all columns    ─▶ the same hours of the clean days before (normal.go)
//	               ─▶ change points, PELT                     (pelt.go)
//	               ─▶ moves, on the basin outlet's clock      (move.go, order.go)
//	               ─▶ what was checked and did not move       (ruledout.go)
//	basin columns  ─▶ exact split of the CT                   (shapley.go, split.go)
//	               ─▶ dose and feed that would have held it   (held.go)
//	outfall        ─▶ hours, mass, averages                   (outfall.go)
//	everything     ─▶ cause and how sure, sentences, narrative (cause.go, account.go, fits.go, words.go, narrative.go)
//
// Everything is plain columns on a minute grid; nothing here reads a file or
// draws. What comes out is arithmetic for a licensed operator to judge.
package upset
