package adjust

import "stopledger/curve"

// Furthest returns how far a correction lies off the change anywhere among the file's codes, in codes of the
// 10-bit scale, and the code where: of a cube, among those it does not clamp. Where a curve's foot is vertical
// (N-Log, Apple Log, well below zero light) no table can follow a change, and this tells it.
func (c Change) Furthest(k Correction) (off, at curve.Code) {
	codes := c.toCodes()
	low, high := codes.inverse().at(0), codes.inverse().at(1)
	if _, ok := k.(cube); ok {
		low, high = max(low, 0), min(high, 1)
	}
	apart, v := c.worstOver(k, low, high, 8*1023)
	return curve.Code(1023 * codes.gain * apart), curve.Code(1023 * codes.at(v))
}
