package metadata

import "stopledger/curve"

// Settle finds out how a clip is to be read. A clip whose curve is not known is a *SettleError
// that says how to name it: a guess would shift every number by stops.
func Settle(s Stream, r Record, a ReadAs) (Settled, error) {
	var out Settled
	c, err := out.chooseCurve(s.Path, r, a)
	if err != nil {
		return Settled{}, err
	}
	out.Reading = curve.Reading{Curve: c, Range: out.chooseRange(c, s, r, a.Range), Bits: s.Bits}
	out.chooseMatrix(s.Matrix, a.Matrix)
	out.doubtCurve(r)
	out.doubtMetadata(r)
	return out, nil
}
