package curve

// Every tolerance of this package's tests, with its reason.
const (
	// A round trip through a formula and its inverse, of light (relative above 1): asked for.
	// Float64 leaves a thousand times less.
	roundTripLight = 1e-9

	// Published tables print whole codes; S-Log2 black, 90.28, is printed 90.
	printedCode = 0.51

	// The LogC4 manual prints levels to 1 %.
	printedLevel = 0.005

	// Values printed with nine decimals, of light printed with ten digits.
	ninthDecimal = 2e-9

	// V-Log's pieces miss each other by this much at their join; libraries keep the step.
	stepOfVLog = 3.2e-7

	// OpenColorIO computes in float32; its matrices add up to 1 within 2.6e-7.
	float32Signal = 1e-6

	// Constants printed with six digits, against a generator that has all (LogC3) or against
	// what they are meant to give (Log3G10).
	sixDigitSignal = 2e-6

	// OpenColorIO run here, over a whole ramp, asked for; it needs a tenth of it.
	liveSignal = 1e-5

	// OpenColorIO 2.1.2 reads ST 2084 from a table of half-floats.
	liveSignalPQ = 2e-5

	// A central difference of step 1e-6 in n leaves about 1e-9 of rounding and truncation.
	slopeRelative = 1e-6
)
