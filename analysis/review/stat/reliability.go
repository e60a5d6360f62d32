package stat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// LogVariance is the variance of the logarithms of log-normal values with
// coefficient of variation cv, averaged n at a time: ln(1 + cv²/n).
func LogVariance(cv float64, n float64) float64 { return math.Log1p(cv * cv / n) }

// Reliability is the coefficient of reliability: the mean that a log-normal
// effluent may have, as a share of the limit, to stay within it in the share r of
// its values: sqrt(1+cv²)·exp(-z·sqrt(ln(1+cv²))). (Niku, Schroeder and
// Samaniego, J. WPCF 51 (1979) 2841; text from memory.) It is also the acute
// waste-load multiplier of EPA/505/2-90-001, chapter 5.
func Reliability(cv, r float64) float64 {
	v := LogVariance(cv, 1)
	return math.Exp(v/2 - Z(r)*math.Sqrt(v))
}

// ExpectedWithin is the share of log-normal values with this mean and cv that do
// not exceed a limit. For what must be reached from below, see ExpectedAbove.
func ExpectedWithin(mean, cv, limit float64) float64 {
	v := LogVariance(cv, 1)
	if !(mean > 0) || !(limit > 0) || !(v > 0) {
		return math.NaN()
	}
	return Phi((math.Log(limit/mean) + v/2) / math.Sqrt(v))
}

// ExpectedAbove is the share of log-normal values with this mean and cv that
// reach a minimum, such as a residual or CT.
func ExpectedAbove(mean, cv, minimum float64) float64 { return 1 - ExpectedWithin(mean, cv, minimum) }

// Interval is a two-sided interval; NaN where there is none.
type Interval struct{ Low, High float64 }

// ClopperPearson is the exact interval of a share: k of n events, with the given
// confidence. n may be an effective number of independent values, and k scaled to it.
func ClopperPearson(k, n, confidence float64) Interval {
	if !(n > 0) || k < 0 || k > n {
		return Interval{math.NaN(), math.NaN()}
	}
	a := (1 - confidence) / 2
	out := Interval{0, 1}
	if k > 0 {
		out.Low = distuv.Beta{Alpha: k, Beta: n - k + 1}.Quantile(a)
	}
	if k < n {
		out.High = distuv.Beta{Alpha: k + 1, Beta: n - k}.Quantile(1 - a)
	}
	return out
}

// NoneSeen is the one-sided upper limit of a share of which n values showed none.
func NoneSeen(n, confidence float64) float64 {
	if !(n > 0) {
		return math.NaN()
	}
	return 1 - math.Pow(1-confidence, 1/n)
}

// OneOrMore is the chance of one or more events in n independent periods, each
// passed with chance r.
func OneOrMore(r float64, n int) float64 { return 1 - math.Pow(r, float64(n)) }

// Levels of the technology performance statistics: the share of values of a year
// that a best fortnight, a monthly, a weekly and a daily figure stand for.
const (
	BestFortnight = 14.0 / 365
	MonthlyLevel  = 11.0 / 12
	WeeklyLevel   = 51.0 / 52
	DailyLevel    = 364.0 / 365
)

// LogNormal is a log-normal distribution by the mean and deviation (n - 1) of
// natural logarithms.
type LogNormal struct{ Mu, Sigma float64 }

// FitLog fits values above zero; NaN where one is not.
func FitLog(v []float64) LogNormal {
	l := logs(v)
	return LogNormal{Mean(l), SD(l)}
}

// Quantile is exp(mu + z·sigma).
func (l LogNormal) Quantile(p float64) float64 { return math.Exp(l.Mu + Z(p)*l.Sigma) }

// Mean is exp(mu + sigma²/2): high for few values of wide spread, so that loads
// take the arithmetic mean.
func (l LogNormal) Mean() float64 { return math.Exp(l.Mu + l.Sigma*l.Sigma/2) }
