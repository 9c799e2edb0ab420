package curve

// A logWithToe is the shape of most camera curves: above the join
// n = gain log_base(in x + lift) + offset, below it the straight n = toeGain x + toeOffset.
type logWithToe struct {
	base, gain, in, lift, offset float64
	join, toeGain, toeOffset     float64
}

func (l logWithToe) shape() Shape {
	return join(
		line{l.toeGain, l.toeOffset},
		span{fromX: l.join, Shape: logarithm{l.base, l.gain, l.in, l.lift, l.offset}},
	)
}

// A twoSidedLog is a logarithm mirrored about black with an optional straight piece
// n = toeGain x + toeOffset for |x| <= toe. Above: offsetAbove + gain log10(in x + 1);
// below: offsetBelow - gain log10(1 - in x).
type twoSidedLog struct {
	gain, in, offsetBelow, offsetAbove float64
	toe, toeGain, toeOffset            float64
}

func (l twoSidedLog) shape() Shape {
	below := logarithm{10, -l.gain, -l.in, 1, l.offsetBelow}
	above := logarithm{10, l.gain, l.in, 1, l.offsetAbove}
	if l.toe == 0 {
		return join(below, span{fromX: 0, Shape: above})
	}
	return join(below,
		span{fromX: -l.toe, Shape: line{l.toeGain, l.toeOffset}},
		span{fromX: l.toe, Shape: above})
}
