package review

import "weirbook/analysis/formula"

// Formulas lists the formulas of a performance review with their sources.
func Formulas() []formula.Entry {
	return []formula.Entry{
		{Quantity: "percentile", Title: "Percentile of a sample", Formula: "x at place h = (n + 1)·p, between neighbours in proportion, for 1/(n+1) ≤ p ≤ n/(n+1)", Source: "Hyndman and Fan, Am. Statistician 50 (1996) 361, definition 6", Mark: formula.Derived},
		{Quantity: "plotting position", Title: "Plotting position", Formula: "p = (i - 3/8)/(n + 1/4); with results below detection after Hirsch and Stedinger, spread between the shares below each limit", Source: "Blom; Looney and Gulledge 1985; Hirsch and Stedinger 1987", Mark: formula.Verified},
		{Quantity: "reliability", Title: "Coefficient of reliability", Formula: "mean / limit = sqrt(1 + cv²)·exp(-z·sqrt(ln(1 + cv²)))", Valid: "log-normal, stable plant, one averaging period throughout", Source: "Niku, Schroeder and Samaniego, J. WPCF 51 (1979) 2841", Mark: formula.Memory},
		{Quantity: "expected share", Title: "Expected share within a limit", Formula: "Φ((ln X - ln m + σ²/2)/σ), σ² = ln(1 + cv²); for what is reached from below, 1 less this", Source: "the same", Mark: formula.Memory},
		{Quantity: "effective n", Title: "Independent values that n dependent ones are worth", Formula: "n·(1 - r)/(1 + r), r the correlation with the value before; never more than n", Source: "Bayley and Hammersley 1946", Mark: formula.Memory},
		{Quantity: "share interval", Title: "Interval of a share", Formula: "Clopper and Pearson's exact interval for the effective n", Source: "Clopper and Pearson 1934", Mark: formula.Memory},
		{Quantity: "reasonable potential", Title: "Reasonable-potential factor", Formula: "exp((z_p - z_pn)·σ), pn = (1 - confidence)^(1/n)", Valid: "log-normal independent results; below 1 the highest result stands", Source: "EPA/505/2-90-001 chapter 3; Wis. Adm. Code NR 106", Mark: formula.Verified},
		{Quantity: "derived limits", Title: "Limits from a long-term average", Formula: "LTA = WLA·exp(σn²/2 - z99·σn); daily maximum = LTA·exp(z99·σ - σ²/2); monthly average = LTA·exp(z95·σn - σn²/2), σn² = ln(1 + cv²/n)", Source: "EPA/505/2-90-001 chapter 5", Mark: formula.Memory},
		{Quantity: "capacity", Title: "Flow at which CT binds", Formula: "Q = a·k/(CT + b·k), k = 1440·BF·V (MG), residual = a - b·Q", Constants: []string{"1440 min/d"}, Units: "MGD", Valid: "within the flows seen", Source: "40 CFR 141.720", Mark: formula.Derived},
		{Quantity: "quantile line", Title: "Quantile line of residual on flow", Formula: "the line that minimises the sum of r·(tau - [r < 0])", Source: "Koenker and Bassett, Econometrica 46 (1978) 33", Mark: formula.Verified},
		{Quantity: "capacity with decay", Title: "Flow at which CT binds where the residual decays on its way", Formula: "c0·exp(-k·T)·T = CT, T = 1440·BF·V/Q, the shorter T; ln residual = ln c0 - k·T by a quantile line; no flow reaches more than c0/(k·e)", Units: "MGD", Valid: "within the flows seen, first-order decay", Source: "root found by bisection, checked against scipy's brentq", Mark: formula.Derived},
		{Quantity: "load zones", Title: "Loads by zone of the flow-duration curve", Formula: "days parted by the share of days, 100·rank/(n + 1), on which their mean flow was reached: 0, 10, 40, 60, 90, 100 %; load = flow × concentration × 8.34, hour by hour", Units: "lb/d", Source: "Minnesota Pollution Control Agency, stormwater manual", Mark: formula.Verified},
		{Quantity: "trend at equal flow", Title: "Trend with what goes with the flow taken off", Formula: "the same test on what a least-squares line of monthly medians on the flow's monthly medians leaves", Source: "Helsel et al., USGS TM4-A3 chapter 12 (from memory)", Mark: formula.Memory},
		{Quantity: "trend", Title: "Mann-Kendall and seasonal Kendall test, Sen's slope", Formula: "S = sum of signs of all later less earlier, within a season; slope = median of the pairs' slopes; the variance with the covariance between seasons", Source: "Hirsch, Slack and Smith 1982; Hirsch and Slack 1984; EPA 530/R-09-007 Example 17-6", Mark: formula.Verified},
		{Quantity: "change point", Title: "Change point", Formula: "K = max |2·sum of ranks - t·(n + 1)|, p ≈ 2·exp(-6K²/(n³ + n²))", Source: "Pettitt, Appl. Statist. 28 (1979) 126", Mark: formula.Memory},
		{Quantity: "shift", Title: "Shift between two periods", Formula: "median of all differences, later less earlier, each value less the middle of its calendar month's two medians", Source: "Hollander and Wolfe; Helsel et al., USGS TM4-A3 chapter 5", Mark: formula.Derived},
		{Quantity: "overfeed", Title: "Chlorine beyond what was asked", Formula: "(lowest residual - larger of CT asked / contact time and least residual) · flow · 8.34 / 24, where above zero", Units: "lb in an hour", Constants: []string{"8.34 lb per MG per mg/L (trade factor)"}, Source: "pounds formula", Mark: formula.Practice},
		{Quantity: "mean time between failures", Title: "Mean time between failures", Formula: "T/r; limits 2T/χ²(1-a/2, 2r+2) and 2T/χ²(a/2, 2r)", Valid: "constant rate; T is the time in operation", Source: "NIST/SEMATECH e-Handbook 8.4.5.1", Mark: formula.Verified},
		{Quantity: "instrument life", Title: "Days until a probe leaves its band", Formula: "Weibull by maximum likelihood; each failure lies between the last good and the first bad day", Source: "Turnbull 1976, and R survreg for the figures checked", Mark: formula.Derived},
		{Quantity: "agreement", Title: "Limits of agreement", Formula: "mean difference ± 1.96 standard deviations of the differences", Source: "Bland and Altman, Lancet 1 (1986) 307", Mark: formula.Memory},
	}
}
