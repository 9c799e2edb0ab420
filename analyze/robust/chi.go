package robust

import "gonum.org/v1/gonum/stat/distuv"

// ChiQuantile returns the p quantile, p in 0..1, of chi-squared over its degrees of freedom: of
// what variances of normal samples with so much freedom, relative to the true one, scatter like
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.6.6). Less than one degree of freedom
// counts as one. A quantile of measured variances over it estimates the true variance without
// bias to first order.
func ChiQuantile(p, freedom float64) float64 {
	freedom = max(freedom, 1)
	return distuv.ChiSquared{K: freedom}.Quantile(p) / freedom
}

// CutMean returns the mean of a normal distribution of mean 1 and standard deviation spread that
// is cut off above cut standard deviations over its mean: 1 - spread phi(cut) / Phi(cut), the mean
// of a truncated normal distribution (Johnson, Kotz and Balakrishnan, "Continuous Univariate
// Distributions" 1, chapter 13; from memory).
func CutMean(spread, cut float64) float64 {
	return 1 - spread*distuv.UnitNormal.Prob(cut)/distuv.UnitNormal.CDF(cut)
}
