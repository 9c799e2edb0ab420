package metadata

import "stopledger/decode/metadata/container"

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
	r := Record{TagsDiffer: n.differ, Unknown: n.unknown, Problems: n.problems, Colour: n.colour, Levels: n.levels}
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
