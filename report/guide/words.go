package guide

import (
	"fmt"

	"stopledger/analyze/plan"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// Title names the curve and the ISO.
func Title(p *report.Plan) string {
	if p.Guide.ISO == nil {
		return p.Curve + " in the pocket"
	}
	return fmt.Sprintf("%s at ISO %d", p.Curve, *p.Guide.ISO)
}

// Basis says what the guide rests on.
func Basis(p *report.Plan) string {
	said := fmt.Sprintf("A scene from %s to %s stops from grey.", text.Signed(p.Scene.Low, 1, ""),
		text.Signed(p.Scene.High, 1, ""))
	switch {
	case p.Profile != nil:
		said += " By this camera's profile."
	case p.Test != "":
		said += " By the test clip " + p.Test + "."
	default:
		said += " By the curve alone: where this camera clips and how noisy it is, is not measured."
	}
	return metadata.Printable(said + " Zebras in percent; the row below is a grey card's.")
}

// Caution is said on every guide.
const Caution = "Never point a lens at the sun, nor look at it through one: eyes and sensors burn. Keep to the " +
	"safety rules of the place you shoot in; no exposure is worth an eye."

// ZebraWords writes what a zebra is set to.
func ZebraWords(s plan.Situation) string {
	if s.Low == s.High {
		return fmt.Sprintf("%.0f %%", float64(s.Low))
	}
	return fmt.Sprintf("%.0f–%.0f %%", float64(s.Low), float64(s.High))
}

func placementWords(s plan.Step) string {
	if s.Placement == 0 {
		return "nominal"
	}
	return text.Signed(s.Placement, 0, "")
}
