package curve

// A CameraLog is a logarithm above a straight toe that it meets, the shape of most camera curves:
// n = Gain log_Base(In x + Lift) + Offset for light x above Break, and below it the straight line that
// is ToeGain steep and meets the logarithm at Break.
type CameraLog struct {
	Base, Gain, In, Lift, Offset float64
	Break, ToeGain               float64
}

// CameraLog returns the curve's parameters where it is one logarithm above a straight toe; ok tells
// whether it is. Where a paper's pieces miss each other the toe is moved to meet the logarithm: by 0.9
// of a 10-bit code in the worst published case, so compare before relying on it.
func (c *Curve) CameraLog() (p CameraLog, ok bool) {
	if s, known := c.shape.(interface{ cameraLog() (CameraLog, bool) }); known {
		return s.cameraLog()
	}
	return CameraLog{}, false
}

// cameraLog passes over the bridge between two pieces that miss each other.
func (j joined) cameraLog() (CameraLog, bool) {
	toe, straight := j[0].Shape.(line)
	last := j[len(j)-1]
	log, ok := last.Shape.(logarithm)
	if len(j) == 3 {
		_, bridged := j[1].Shape.(line)
		ok = ok && bridged
	}
	if !ok || !straight || len(j) > 3 {
		return CameraLog{}, false
	}
	return CameraLog{log.base, log.gain, log.in, log.lift, log.offset, last.fromX, toe.gain}, true
}

func (s scaled) cameraLog() (CameraLog, bool) {
	j, ok := s.of.(joined)
	if !ok {
		return CameraLog{}, false
	}
	p, ok := j.cameraLog()
	p.In, p.Break, p.ToeGain = p.In/s.unit, p.Break*s.unit, p.ToeGain/s.unit
	return p, ok
}
