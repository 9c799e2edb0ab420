package curve

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
