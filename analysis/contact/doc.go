// Package contact computes chlorine contact time and CT, and holds them against
// requirements.
//
// CT is residual (mg/L) times contact time (min). It is computed three ways,
// which differ and are told apart by name everywhere:
//
//   - Dynamic: outlet residual x the time since the parcel leaving now entered.
//   - Steady: lowest residual of the hour x contact time at the hour's peak flow.
//   - Path: the residual integrated along the parcel's way, where it is known at
//     both ends.
//
// Everything works on minute columns on an align.Grid, NaN where unknown, and
// knows nothing of tags or plants.
package contact
