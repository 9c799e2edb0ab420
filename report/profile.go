package report

import (
	"io"

	"stopledger/analyze/plan"
)

// ProfileSchema names the JSON document of a camera's profile; fields may be added to it, none is renamed or
// removed.
const ProfileSchema = "stopledger/profile/1"

// A Profile is what test takes say of a camera.
type Profile struct {
	Schema string `json:"schema"` // ProfileSchema
	Tool   Tool   `json:"tool"`   // that wrote it
	plan.Profile
	Failed []Failure `json:"failed"` // takes that could not be measured
}

// WriteProfileJSON writes a profile as one JSON value, indented, with a newline at its end.
func WriteProfileJSON(w io.Writer, p *Profile) error {
	whole := *p
	whole.Failed, whole.Exposures = listed(p.Failed), listed(p.Exposures)
	return writeJSON(w, &whole)
}
