package handover

import "stopledger/curve"

// A Kind is a format of correction files.
type Kind string

// Kinds, in the order in which they are written.
const (
	CLF  Kind = "clf"  // Common LUT Format: exact
	CDL  Kind = "cdl"  // one offset: nearly so
	Cube Kind = "cube" // a table over 0..1
)

// Kinds are all of them.
var Kinds = []Kind{CLF, CDL, Cube}

// Domains are all domains, in the order in which they are written.
var Domains = []curve.Domain{curve.CurveDomain, curve.VideoDomain}

// endings of the kinds' files.
var endings = map[Kind]string{CLF: ".clf", CDL: ".cc", Cube: ".cube"}
