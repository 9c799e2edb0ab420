// Package metadata reads, from a clip's bytes alone, which curve the clip was recorded in and
// with which camera settings: per-frame acquisition metadata (SMPTE RDD 18), the clip's own XML,
// the container's keys, MXF picture descriptors and colour tags. It reports what each of them
// says, how far each is to be trusted, and where they contradict each other; and it settles, from
// that and from what the user says, in which curve, range and matrix the clip is to be read.
package metadata

import "stopledger/decode/metadata/container"

// Hints is what is known of the clip before its bytes are looked at. All of it may be empty.
type Hints struct {
	Container string            // FFmpeg's short name, asked only where the first bytes do not tell
	Tags      map[string]string // metadata of the format and its streams
	Transfer  string            // of the bitstream, H.273 name as FFmpeg spells it: bt709, smpte2084, arib-std-b67
	Primaries string            // of the bitstream, H.273 name as FFmpeg spells it: bt709, bt2020
}

// A Record is what a clip says of its recording.
type Record struct {
	Curve      *Claim            // the chosen claim; nil where nothing names a curve or two sources contradict each other
	Claims     []Claim           // everything said of the curve, most trusted first
	Conflicts  []string          // sentences: which two sources contradict each other about the curve
	TagsDiffer []string          // sentences: where colour tags of the container and of the bitstream differ
	Unknown    []string          // "item: value", values of curve, gamut or setting that are not understood, verbatim
	Problems   []string          // sentences: metadata that is there but damaged
	Recorded   string            // when recording began, RFC 3339 in the zone that was named; "" where not said
	Camera     *Camera           // nil where no setting was found
	Colour     *container.Colour // colour tags of the container itself, nil where it has none
	Levels     *Levels           // of the MXF picture descriptor, nil where there is none
}

// A Claim is one statement of one source about the curve.
type Claim struct {
	Curve    string   // published name, empty where the statement does not come down to a known one
	EI       *Setting // exposure index the curve depends on, where the file gives it (LogC3)
	Kind     Kind     // what it comes down to
	Verbatim string   // as written in the file; labels in hexadecimal
	Origin   Origin   // kind of source
	Grade    Grade    // how its meaning is known
	Where    string   // place in the file: "rtmd track, item 3210"
	Note     string   // a sentence for people, empty where the name says all
	Among    []string // KindOpen: published curves it may turn out to be, if there are any
}

// A Kind says what a claim comes down to.
type Kind string

// Kinds of claims.
const (
	KindCurve   Kind = "curve"   // Curve is named
	KindDisplay Kind = "display" // known, and not a log curve: a broadcast or film-look gamma
	KindOpen    Kind = "open"    // a log curve, but which one is not said, or it is not among the published ones
	KindUnknown Kind = "unknown" // a value that is not understood
)

// An Origin names where a setting came from: the kind of source a claim stood in, or else what
// settled it.
type Origin string

// Origins of claims.
const (
	OriginAcquisition Origin = "acquisition-metadata" // per-frame sets, SMPTE RDD 18
	OriginClipXML     Origin = "clip-xml"             // XML inside the clip's meta box
	OriginSidecar     Origin = "sidecar-xml"          // XML file beside the clip
	OriginKey         Origin = "container-key"        // maker's key or box that names the curve
	OriginMakerNote   Origin = "maker-note"           // camera's note in the user data
	OriginDescriptor  Origin = "mxf-descriptor"       // camera log label in the picture descriptor
	OriginTransfer    Origin = "transfer-tag"         // H.273 code or its MXF label
)

// Origins of what is settled, beside those of claims.
const (
	OriginFlag    Origin = "flag"    // the user named it
	OriginAssumed Origin = "assumed" // the user named it for clips that say nothing
	OriginConfig  Origin = "config"  // the user's own defaults name it for clips that say nothing
	OriginTag     Origin = "tag"     // the stream or the container is tagged with it
	OriginCodec   Origin = "codec"   // the codec leaves no choice
	OriginDefault Origin = "default" // nothing is said
)

// Trust returns the rank of an origin, 1 is best. Ranks 1 to 4 are statements of the camera;
// rank 5, a colour tag, is neither evidence for nor against a log curve, because log clips
// usually carry the tags of BT.709.
func (o Origin) Trust() int {
	switch o {
	case OriginAcquisition:
		return 1
	case OriginClipXML, OriginSidecar:
		return 2
	case OriginKey, OriginMakerNote:
		return 3
	case OriginDescriptor:
		return 4
	}
	return 5
}

// A Grade says how the meaning of a value is known.
type Grade string

// Grades of claims.
const (
	GradeRead       Grade = "read"        // from a published register or standard, or seen in a camera's file
	GradeInferred   Grade = "inferred"    // follows from the value's name and its company
	GradeThirdParty Grade = "third-party" // from other people's tables or fixtures
	GradeMemory     Grade = "memory"      // neither; to be checked on a file of that camera
)

// Levels is how an MXF picture descriptor lays codes out (CDCI descriptor, SMPTE ST 377-1 annex F).
type Levels struct {
	Bits  int    // of one component
	Black int    // reference code of black
	White int    // reference code of white
	Range int    // number of codes of colour difference
	Value string // narrow or full where the numbers say so, else ""
}
