package lut

// Every tolerance of this package's tests, with its reason.
const (
	// A round trip through a curve and its inverse, of light: asked for. Float64 leaves a
	// thousand times less.
	roundTripLight = 1e-9

	// Constants of LogC3 printed with six digits, against a generator that has all.
	sixDigitSignal = 2e-6

	// OpenColorIO run here, over a whole ramp, asked for; it needs a tenth of it.
	liveSignal = 1e-5

	// Display files against OpenColorIO and FFmpeg, which compute in float32, of signal: asked for.
	displayApart = 1e-4
)
