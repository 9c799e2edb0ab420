package report

import (
	"io"

	"stopledger/analyze/plan"
)

// PlanSchema names the JSON document of a plan; fields may be added to it, none is renamed or removed.
const PlanSchema = "stopledger/plan/1"

// A Plan is what to expose for a scene.
type Plan struct {
	Schema string `json:"schema"` // PlanSchema
	Tool   Tool   `json:"tool"`   // that wrote it
	plan.Plan
	Test string `json:"test,omitempty"` // clip that the scene, or the noise, is from; empty for none
}

// WritePlanJSON writes a plan as one JSON value, indented, with a newline at its end.
func WritePlanJSON(w io.Writer, p *Plan) error { return writeJSON(w, p) }
