package plan

import (
	"fmt"
	"strings"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// words says what to do.
func (p *Plan) words(notes []string) string {
	c := p.recommended()
	parts := []string{p.choiceWords(c)}
	if c.Origin == clipping.CurveEnd {
		parts = append(parts, "The ceiling is where the curve's recordings end; this camera may clip lower: measure it "+
			"with stopledger profile, or name a clip with --test.")
	}
	if words := p.nightWords(); words != "" {
		parts = append(parts, words)
	}
	if p.Above != nil && len(p.Choices) > 1 {
		parts = append(parts, fmt.Sprintf("Above ISO %d gain brings nothing: record there and lift in the grade, which "+
			"keeps the highlights.", *p.Above))
	}
	for _, note := range notes {
		if note != "" {
			parts = append(parts, note)
		}
	}
	said := strings.Join(parts, " ")
	return strings.ToUpper(said[:1]) + said[1:]
}

func (p *Plan) choiceWords(c Choice) string {
	at := p.row(c)
	low, high := p.Scene.Low.FromGrey(), p.Scene.High.FromGrey()
	place := fmt.Sprintf("%splace grey at %s (zebra %s on a grey card)", isoWords(c.ISO), c.Placement.Signed(1),
		at.Zebra.Grey)
	switch {
	case !curve.Finite(c.Lowest):
		return fmt.Sprintf("%splacements up to %s keep tones %s at least %.1f stops under the ceiling. How noisy the "+
			"shadows are is not known, and a placement is said to fit by its highlights alone: it takes a camera's "+
			"profile or a test clip.", isoWords(c.ISO), c.Highest.Signed(1), high,
			limit.Margin)
	case c.Fits:
		return fmt.Sprintf("%s. Signal-to-noise %s is then %v, and tones %s stay %s under the ceiling. Anything "+
			"from %s to %s holds both with %v and a reserve of %.1f stops.", place, low, at.SNR, high, at.Headroom.Plain(1),
			c.Lowest.Signed(1), c.Highest.Signed(1), limit.ThinSNR, limit.Margin)
	}
	return fmt.Sprintf("%sthe scene is %s wider than the camera holds.", isoWords(c.ISO), c.Short.Plain(1)) +
		fmt.Sprintf(" With grey at %s, tones %s hold with a reserve of %.1f stops and those %s have %v, where %v are wanted;",
			c.Highest.Signed(1), high, limit.Margin, low, at.SNR, limit.ThinSNR) +
		fmt.Sprintf(" with grey at %s the shadows have that and tones %s lie %s.", c.Lowest.Signed(1), high,
			overWords(c.Lowest+p.Scene.High-c.Ceiling)) +
		fmt.Sprintf(" One end has to give: %[1]s of fill on the shadows, or %[1]s off the highlights (net, gel, graduated "+
			"ND). Iris, ND over all and ISO move both ends alike.", c.Short.Plain(1))
}

// overWords says how far a tone lies over a ceiling, or under it.
func overWords(over curve.Stops) string {
	if over < 0 {
		return (-over).Plain(1) + " under the ceiling"
	}
	return over.Plain(1) + " over the ceiling"
}

// row returns the recommended row of a choice.
func (p *Plan) row(c Choice) Row {
	for _, r := range p.Rows {
		if r.Recommended && same(r.ISO, c.ISO) {
			return r
		}
	}
	return Row{}
}

func same(a, b *int) bool { return a == nil && b == nil || a != nil && b != nil && *a == *b }

func (p *Plan) nightWords() string {
	n := p.Night
	if n == nil {
		return ""
	}
	light := fmt.Sprintf("At the light for which a meter asks ISO %.0f", float64(n.Meter))
	if n.Best == nil {
		return light + " no ISO holds the high end of the scene with what is known of its noise."
	}
	for _, r := range n.Rows {
		if r.Recommended {
			return fmt.Sprintf("%s, ISO %d is the cleanest that holds the highlights: grey at %s (%s), %v at %s.",
				light, *n.Best, r.Placement.Signed(1), r.Zebra.Grey, r.SNR, p.Scene.Low.Signed(1))
		}
	}
	return ""
}

func isoWords(iso *int) string {
	if iso == nil {
		return ""
	}
	return fmt.Sprintf("ISO %d: ", *iso)
}

// recommended returns the choice that is recommended.
func (p *Plan) recommended() Choice {
	for _, c := range p.Choices {
		if c.Recommended {
			return c
		}
	}
	return p.Choices[0]
}
