// Package loading holds the arithmetic of loads, chlorine dose and demand,
// dechlorination, chemical use and unit-process loading rates.
//
// Formulas are pure functions of numbers, one small file per topic, each with
// its units, the range in which it holds and its source on the line above; the
// helpers that apply them to columns and windows stand apart (columns.go,
// mass.go, tank.go). An unknown is NaN and stays NaN; nothing becomes zero
// because it was not known.
//
// Two factors are in use and every result says which: the trade's 8.34 for
// pounds, because reviewers recompute with it, and exact definitions for
// kilograms. Both come from one product, MGD times mg/L.
package loading
