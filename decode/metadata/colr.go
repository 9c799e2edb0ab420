package metadata

import (
	"strconv"

	"stopledger/decode/metadata/container"
)

// transferNames are the transfer characteristics of H.273 table 3 as FFmpeg spells them. Codes 9
// and 10 are a plain logarithm, not a camera's log curve; no code up to 18 names one of those.
var transferNames = map[int]string{
	1: "bt709", 4: "bt470m", 5: "bt470bg", 6: "smpte170m", 7: "smpte240m", 8: "linear",
	9: "log100", 10: "log316", 11: "iec61966-2-4", 12: "bt1361e", 13: "iec61966-2-1",
	14: "bt2020-10", 15: "bt2020-12", 16: "smpte2084", 17: "smpte428", 18: "arib-std-b67",
}

// primaryNames are the colour primaries of H.273 table 2 as FFmpeg spells them.
var primaryNames = map[int]string{
	1: "bt709", 4: "bt470m", 5: "bt470bg", 6: "smpte170m", 7: "smpte240m", 8: "film",
	9: "bt2020", 10: "smpte428", 11: "smpte431", 12: "smpte432", 22: "ebu3213",
}

// transferCurves are the transfer codes that name a curve a clip is recorded in.
var transferCurves = map[string]meaning{
	"smpte2084":    curveOf("PQ", GradeRead),
	"arib-std-b67": curveOf("HLG", GradeRead),
}

// fromColour takes the curve from colour tags where they name one, and reports where the
// container's tags and the bitstream's differ: FFmpeg shows only the bitstream's.
func (n *notes) fromColour(boxes []container.Colour, hints Hints) {
	if m, ok := transferCurves[hints.Transfer]; ok {
		n.claim(m, OriginTransfer, "colour tags of the stream", hints.Transfer)
	}
	if len(boxes) == 0 {
		return
	}
	n.colour = &boxes[0]
	if m, ok := transferCurves[transferNames[boxes[0].Transfer]]; ok {
		n.claim(m, OriginTransfer, "colr box", transferNames[boxes[0].Transfer])
	}
	n.compareTag("transfer", boxes[0].Transfer, transferNames, hints.Transfer)
	n.compareTag("primaries", boxes[0].Primaries, primaryNames, hints.Primaries)
}

// compareTag reports a container's tag that differs from the bitstream's; either may be silent.
func (n *notes) compareTag(what string, code int, names map[int]string, stream string) {
	const unspecified = 2
	if code == unspecified || stream == "" || stream == "unknown" || stream == "unspecified" {
		return
	}
	name, ok := names[code]
	if !ok {
		name = "code " + strconv.Itoa(code)
	}
	if name != stream {
		n.differf("the container's colr box says %s %s, but the stream says %s", what, name, stream)
	}
}
