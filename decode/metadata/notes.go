package metadata

import (
	"cmp"
	"strings"
	"time"

	"stopledger/decode/metadata/container"
)

// notes gathers what the readers make of a clip. Readers are asked in order of trust: the first
// to give a camera setting is believed.
type notes struct {
	claims   []Claim
	differ   container.Sentences
	unknown  container.Sentences
	problems container.Sentences
	camera   Camera
	colour   *container.Colour
	levels   *Levels
	recorded string // when, in the zone where it was; "" where not said
	created  string // when, of the container; "" where not said
}

// claim adds what a value means, once for each place.
func (n *notes) claim(m meaning, origin Origin, where, verbatim string) {
	if m.kind == KindUnknown {
		n.unknownf("%s: %s", where, verbatim)
	}
	for _, c := range n.claims {
		if c.Origin == origin && c.Where == where && c.Verbatim == verbatim {
			return
		}
	}
	if len(n.claims) < container.MostSentences {
		n.claims = append(n.claims, Claim{
			Curve: m.curve, Kind: m.kind, Grade: m.grade, Note: m.note, Among: m.among,
			Origin: origin, Where: where, Verbatim: verbatim,
		})
	}
}

func (n *notes) unknownf(format string, args ...any) { n.unknown.Addf(format, args...) }
func (n *notes) problemf(format string, args ...any) { n.problems.Addf(format, args...) }
func (n *notes) differf(format string, args ...any)  { n.differ.Addf(format, args...) }

// record closes the notes: it chooses the curve and gives it the exposure index it depends on.
func (n *notes) record() Record {
	r := Record{TagsDiffer: n.differ, Unknown: n.unknown, Problems: n.problems, Colour: n.colour, Levels: n.levels,
		Recorded: cmp.Or(n.recorded, n.created)}
	if !n.camera.empty() {
		camera := n.camera
		r.Camera = &camera
	}
	for i := range n.claims {
		if n.claims[i].Curve == "LogC3" {
			n.claims[i].EI = n.camera.ExposureIndex
		}
	}
	r.Claims = n.claims
	r.Curve, r.Conflicts = choose(r.Claims)
	return r
}

// earliestRecording is older than any log curve: what is said to be older is a clock that was not set.
// Common practice, no source.
const earliestRecording = 2000

// recordedAt returns a date and time as RFC 3339 in the zone that it names, "" for what is none.
func recordedAt(said string) string {
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05Z0700"} {
		if t, err := time.Parse(layout, strings.TrimSpace(said)); err == nil && t.Year() >= earliestRecording {
			return t.Format(time.RFC3339)
		}
	}
	return ""
}
