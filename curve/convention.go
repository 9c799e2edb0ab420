package curve

// A Convention says what the normalised value n of a published formula stands for in a
// narrow-range recording.
type Convention int

const (
	// DataCodes: n x 1023 is the recorded 10-bit code (S-Log3, V-Log, F-Log ...).
	DataCodes Convention = iota
	// VideoScaled: n = 0..1 sits on codes 64..940 (LogC3, HLG, BT.709 ...).
	VideoScaled
)

// A Range is how a file's codes span the video signal (Recommendation ITU-R BT.2100-2, table 9).
type Range int

const (
	// Narrow: black 64, white 940 at 10 bits.
	Narrow Range = iota
	// Full: black 0, white 2^bits - 1.
	Full
)

// A Grade says how well the convention of a curve is evidenced.
type Grade int

const (
	// Open: nothing published decides it; the convention given is an assumption.
	Open Grade = iota
	// Inferred: the curve's own constants or a measurement point to it.
	Inferred
	// Documented: a printed code or percent decides it.
	Documented
)

// String returns open, inferred or documented.
func (g Grade) String() string {
	switch g {
	case Documented:
		return "documented"
	case Inferred:
		return "inferred"
	}
	return "open"
}
