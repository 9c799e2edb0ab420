package curve

// A Domain says what 0..1 stands for in a file that takes a curve's codes, as a program hands them to
// it.
type Domain string

// Domains.
const (
	// CurveDomain is the curve's own normalised value n.
	CurveDomain Domain = "curve"
	// VideoDomain is what a program has after undoing the file's own range: (code - 64) / 876 in
	// narrow-range files and code / 1023 in full-range ones, on the 10-bit scale.
	VideoDomain Domain = "video"
)

// InDomain returns the straight line from the formula's n to a domain's value: v = gain n + offset.
func (r Reading) InDomain(d Domain) (gain, offset float64) {
	if d == VideoDomain && r.Range == Narrow && r.Curve.Convention == DataCodes {
		return 1023.0 / 876, -64.0 / 876
	}
	return 1, 0
}
