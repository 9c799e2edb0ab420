package curve

// A Level is a recorded level, as code and as zebras show it.
type Level struct {
	Code    Code    `json:"code"`    // on the 10-bit scale
	Percent Percent `json:"percent"` // video level
}

// Level returns the level of a file code.
func (r Reading) Level(c FileCode) Level { return Level{r.Code(c), r.Percent(c)} }
