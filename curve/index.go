package curve

import (
	"fmt"
	"slices"
	"strings"
)

// Indexes returns the exposure indexes the curve is published for, or nil if it has none.
func (c *Curve) Indexes() []int {
	if c.indexes == nil {
		return nil
	}
	return slices.Clone(c.indexes.allowed)
}

// WithIndex returns the curve at an exposure index, named for it ("LogC3 EI1600"). A curve
// without exposure indexes, or an index it is not published for, is an error.
func (c *Curve) WithIndex(ei int) (*Curve, error) {
	if c.indexes == nil {
		return nil, fmt.Errorf("%s is the same at every exposure index: leave the index out", c.Name)
	}
	if !slices.Contains(c.indexes.allowed, ei) {
		return nil, fmt.Errorf("%s is not published for exposure index %d: it takes %s",
			c.Name, ei, strings.Trim(fmt.Sprint(c.indexes.allowed), "[]"))
	}
	at := *c
	base, _, _ := strings.Cut(c.Name, " EI")
	at.Name = fmt.Sprintf("%s EI%d", base, ei)
	at.Also = nil
	at.Index = ei
	at.shape, at.Top = c.indexes.build(ei)
	return &at, nil
}
