package detect

import (
	"encoding/json"
	"fmt"
	"slices"

	"stopledger/curve"
)

// A chartEntry is what a document says of a chart.
type chartEntry struct {
	Edition      string         `json:"edition"`             // as Edition.String has it
	Slope        curve.Ratio    `json:"slope"`               // of the neutrals' line
	Residual     curve.Stops    `json:"residual_stops"`      // of the neutrals' line
	WhiteBalance [3]curve.Stops `json:"white_balance_stops"` // R, G, B over their mean
	Patches      []Patch        `json:"patches"`             // 24 of them
	Doubt        DoubtKind      `json:"doubt,omitempty"`     // absent without a doubt
}

// MarshalJSON writes what a document says of a chart: the edition, the neutrals' line, their white
// balance, each patch, and the kind of doubt if there is one. Places and light stay out of it.
func (c Chart) MarshalJSON() ([]byte, error) {
	e := chartEntry{c.Edition.String(), c.Line.Slope, c.Line.Residual, c.WhiteBalance, c.Patches[:], 0}
	if c.Doubt != nil {
		e.Doubt = c.Doubt.Kind
	}
	return json.Marshal(e)
}

// UnmarshalJSON reads what MarshalJSON writes; what that leaves out stays as it is.
func (c *Chart) UnmarshalJSON(b []byte) error {
	var e chartEntry
	if err := json.Unmarshal(b, &e); err != nil {
		return err
	}
	i := slices.IndexFunc(editions, func(known Edition) bool { return known.String() == e.Edition })
	if i < 0 {
		return fmt.Errorf("a chart of an unknown edition, %q", e.Edition)
	}
	if len(e.Patches) != len(c.Patches) {
		return fmt.Errorf("a chart of %d patches; it has %d", len(e.Patches), len(c.Patches))
	}
	c.Edition, c.WhiteBalance = editions[i], e.WhiteBalance
	c.Line.Slope, c.Line.Residual = e.Slope, e.Residual
	copy(c.Patches[:], e.Patches)
	if e.Doubt != 0 {
		c.Doubt = &Doubt{Kind: e.Doubt}
	}
	return nil
}
