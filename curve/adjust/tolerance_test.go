package adjust

// Every tolerance of this package's tests, with its reason.
const (
	// A CLF against OpenColorIO and the curve's formula, of the domain's values: asked for. Float32 needs a
	// tenth of it.
	liveSignal = 1e-5

	// A cube against the formula: half a 10-bit code, asked for.
	halfCode = 0.5 / 1023
)
