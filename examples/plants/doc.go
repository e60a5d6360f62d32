// Package plants makes invented plants that the judgement of who is wrong has
// never been fitted to: their physics, their controls and the way their
// readings are stored follow other rules than package simulate and than the
// engine's law. They are what examples/score scores by default.
//
//   - A probe's potential is a mixed one (Tafel lines of equal slope, chlorine
//     adsorbed on a surface that fills up, what is used up in the film taken
//     off first), with an oxide layer that builds in an hour and goes in a day,
//     a film that grows until it is cleaned, temperature that arrives late,
//     and services that leave it a few millivolts elsewhere.
//   - Chlorine meets ammonia, then nitrite, then organic matter by
//     stoichiometry; a basin in the sun loses more at noon.
//   - The feed follows flow and residual, residual alone, flow alone, the ORP,
//     or the hand of an operator who goes round four times a day.
//   - Readings are scanned every 1 to 20 minutes, or stored by exception, or by
//     a swinging door; tags belong to controllers that can stop on their own.
//   - Water stops at night, a basin is closed, the season has not begun, grabs
//     are mistyped, standards are read at an analyser: ordinary life, no fault.
//
// Every plant is drawn from ranges. The half that thresholds may be set on
// draws from the lower part of each range, the held-out half from the upper
// part, with other seeds: they differ in plants, not only in noise.
//
// # What can be told
//
// An event counts when a careful person with all of the plant's readings could
// tell it. It does not count, and Record says why, when
//
//   - it lasts less than half an hour, or less than three stored readings of
//     the instruments it shows at;
//   - at no time does it move any of the plant's readings by three times that
//     reading's own wander (Wander of the instrument; for the process, the
//     spread of the same hours of other days in the same record made without
//     the event);
//   - it is the process's, and moves one reading only (no other by twice its
//     wander), as a fault of that instrument would;
//   - it holds a reading still that would have been stored with fewer than eight
//     changes;
//   - it falls in time without water, out of season, or while the tags that
//     show it stand still;
//   - it is an instrument's, and no other reading or grab exists in it that
//     says otherwise.
//
// The rule looks at the record made with the event and at the same record made
// without it, never at a finding.
//
// Magnitudes are common practice in the trade, no source, unless a comment
// names one. All plants, tags and data are invented.
package plants
