package report

import (
	"io"
	"slices"

	"stopledger/analyze/match"
	"stopledger/curve"
)

// MatchSchema names the JSON document of clips that are brought to one.
const MatchSchema = "stopledger/match/1"

// A Matching is the exposure offsets that bring clips to one of them.
type Matching struct {
	Schema  string    `json:"schema"`  // the name of this layout
	Tool    Tool      `json:"tool"`    // that wrote it
	Matches []Match   `json:"matches"` // in the order of the clips
	Failed  []Failure `json:"failed"`  // clips that could not be measured

	*Adjusted // what was written of it; nil where nothing was to be
}

// Refuses tells whether a clip could not be matched, or got no file.
func (m *Matching) Refuses() bool {
	if m.Adjusted != nil && len(m.Adjusted.Refused) > 0 {
		return true
	}
	return slices.ContainsFunc(m.Matches, func(x Match) bool { return x.By == "" })
}

// A Match is what brings one clip to another.
type Match struct {
	Path   string          `json:"path"`         // of the clip that the offset is applied to
	To     string          `json:"to"`           // of the clip that it is brought to
	Stops  curve.Stops     `json:"stops"`        // to apply, + makes it lighter; unknown where they cannot be matched
	Low    curve.Stops     `json:"low"`          // 95 % interval
	High   curve.Stops     `json:"high"`         // of it
	By     match.Means     `json:"by,omitempty"` // chart, card or content; empty where they cannot be matched
	Reason string          `json:"reason"`       // of it, or why they cannot be matched
	RGB    *[3]curve.Stops `json:"rgb_stops"`    // of R, G and B, by a neutral in both; nil without one
}

// NewMatch is the offset of a clip to another as a document has it.
func NewMatch(path, to string, o match.Offset) Match {
	m := Match{Path: path, To: to, Stops: o.Stops, Low: o.Low, High: o.High, By: o.By, Reason: o.Reason}
	if curve.Finite(o.RGB[0]) {
		rgb := o.RGB
		m.RGB = &rgb
	}
	return m
}

// WriteMatchingJSON writes matches as WriteJSON writes an audit.
func WriteMatchingJSON(w io.Writer, m *Matching) error {
	whole := *m
	whole.Matches, whole.Failed = listed(m.Matches), listed(m.Failed)
	if m.Adjusted != nil {
		whole.Adjusted = m.Adjusted.listed()
	}
	return writeJSON(w, &whole)
}
