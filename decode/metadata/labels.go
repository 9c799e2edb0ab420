package metadata

import "stopledger/decode/metadata/container"

// What a label means is told by its last eight bytes, all of them: private labels of primaries
// share their sixth byte with public ones. Public labels and their numbers: SMPTE metadata
// registers, Labels.xml. Private labels under 0E06: MediaInfoLib, File_Mxf.cpp, and
// telemetry-parser, src/sony; under 0E15: telemetry-parser, src/canon.

// labelValue returns the eight bytes that say what a label means, if it is a label of values (0401 01..).
func labelValue(l container.Label) (v [8]byte, ok bool) {
	prefix := container.Label{6, 0x0E, 0x2B, 0x34, 4, 1, 1}
	return [8]byte(l[8:]), [7]byte(l[:7]) == [7]byte(prefix[:7])
}

// gammaOf returns what a label of capture gamma or transfer characteristic means.
func gammaOf(l container.Label) meaning {
	v, ok := labelValue(l)
	if !ok {
		return notUnderstood
	}
	if m, ok := publicGammas[v]; ok {
		return m
	}
	if [6]byte(v[:6]) == [6]byte{0x0E, 6, 4, 1, 1, 1} {
		return privateGamma(v[6], v[7])
	}
	// The last three bytes of labels under 0E15 are not in the table read.
	if [4]byte(v[:4]) == [4]byte{0x0E, 0x15, 0, 1} {
		if m, ok := privateGammas15[v[4]]; ok {
			return m
		}
	}
	return notUnderstood
}

func publicGamma(n byte) [8]byte { return [8]byte{4, 1, 1, 1, 1, n, 0, 0} }

// publicGammas are the transfer characteristics of the public register. The camera logs of
// ST 2115 have neutral names there (S3, V, C2, C3); which curves they are follows from the names
// of the gamuts beside them and from the cameras that write them.
var publicGammas = map[[8]byte]meaning{
	publicGamma(0x01): displayGamma("BT.470"),
	publicGamma(0x02): curveOf("BT.709", GradeRead),
	publicGamma(0x03): displayGamma("SMPTE 240M"),
	publicGamma(0x04): displayGamma("SMPTE 274M"),
	publicGamma(0x05): displayGamma("BT.1361"),
	publicGamma(0x06): displayGamma("linear"),
	publicGamma(0x07): displayGamma("DCDM"),
	publicGamma(0x08): displayGamma("xvYCC"),
	publicGamma(0x09): curveOf("BT.709", GradeRead).because("BT.2020 has the transfer function of BT.709"),
	publicGamma(0x0A): curveOf("PQ", GradeRead),
	publicGamma(0x0B): curveOf("HLG", GradeRead),
	publicGamma(0x0C): displayGamma("gamma 2.6"),
	publicGamma(0x0D): displayGamma("sRGB"),
	publicGamma(0x0E): curveOf("S-Log3", GradeInferred).because("ST 2115 Camera Log S3"),
	publicGamma(0x0F): curveOf("V-Log", GradeInferred).because("ST 2115 Camera Log V"),
	publicGamma(0x10): curveOf("Canon Log 2", GradeInferred).because("ST 2115 Camera Log C2"),
	publicGamma(0x11): curveOf("Canon Log 3", GradeInferred).because("ST 2115 Camera Log C3"),
	publicGamma(0x12): displayGamma("cinema mezzanine linear"),
	publicGamma(0x13): displayGamma("cinema mezzanine DCDM"),
}

// privateGamma returns the meaning of the label 0E06 0401 0101 group number.
func privateGamma(group, number byte) meaning {
	if m, ok := privateGammas06[[2]byte{group, number}]; ok {
		return m
	}
	switch group {
	case 1:
		return displayGamma("a broadcast standard curve")
	case 2:
		return displayGamma("a hypergamma")
	case 4:
		return openLog("a curve of the user's own")
	}
	return notUnderstood
}

var privateGammas06 = map[[2]byte]meaning{
	{2, 1}: displayGamma("hypergamma 3250G36"), {2, 2}: displayGamma("hypergamma 4600G30"),
	{2, 3}: displayGamma("hypergamma 3259G40"), {2, 4}: displayGamma("hypergamma 4609G33"),
	{2, 5}: displayGamma("hypergamma 8000G36"), {2, 6}: displayGamma("hypergamma 8000G30"),
	{2, 7}: displayGamma("hypergamma 8009G40"), {2, 8}: displayGamma("hypergamma 8009G33"),
	{3, 1}: displayGamma("CINE1"), {3, 2}: displayGamma("CINE2"),
	{3, 3}: displayGamma("CINE3"), {3, 4}: displayGamma("CINE4"),
	{5, 1}: openLog("S-Log, the first of its name"), {5, 2}: openLog("FS-Log"),
	{5, 3}: displayGamma("R709 180 %"), {5, 4}: displayGamma("R709 800 %"),
	{5, 6}: openLog("Cine-Log"), {5, 7}: displayGamma("an ASC CDL"),
	{5, 8}: curveOf("S-Log2", GradeRead),
	{6, 1}: displayGamma("standard"), {6, 2}: displayGamma("still-like"), {6, 3}: displayGamma("xvYCC"),
	{6, 4}: curveOf("S-Log3", GradeThirdParty).because("S-Gamut3/S-Log3"),
	{6, 5}: curveOf("S-Log3", GradeThirdParty).because("S-Gamut3.Cine/S-Log3"),
	{6, 6}: curveOf("BT.709", GradeThirdParty).because("BT.2020 has the transfer function of BT.709"),
	{6, 7}: curveOf("PQ", GradeThirdParty), {6, 8}: curveOf("HLG", GradeThirdParty),
	{7, 1}: displayGamma("cinematone 1"), {7, 2}: displayGamma("cinematone 2"),
	{7, 4}: displayGamma("HLG with a look, live"), {7, 7}: displayGamma("HLG with a look, mild"),
	{7, 5}: displayGamma("S-Cinetone"),
	{7, 6}: openLog("ACEScct").because("ACEScct: a working space whose recording no document describes"),
}

// privateGammas15 are told by the fifth byte of the label 0E15 0001.
var privateGammas15 = map[byte]meaning{
	1: curveOf("Canon Log", GradeThirdParty), 2: curveOf("Canon Log 2", GradeThirdParty),
	6: displayGamma("DCI"), 7: curveOf("Canon Log 3", GradeThirdParty),
}

func publicPrimaries(n byte) [8]byte { return [8]byte{4, 1, 1, 1, 3, n, 0, 0} }

// gamuts are labels of colour primaries.
var gamuts = map[[8]byte]string{
	publicPrimaries(0x01): "SMPTE 170M", publicPrimaries(0x02): "PAL", publicPrimaries(0x03): "BT.709",
	publicPrimaries(0x04): "BT.2020", publicPrimaries(0x05): "DCDM", publicPrimaries(0x06): "P3-D65",
	publicPrimaries(0x07): "ACES", publicPrimaries(0x08): "cinema mezzanine", publicPrimaries(0x09): "P3-D60",
	publicPrimaries(0x0A): "P3-DCI", publicPrimaries(0x0B): "S-Gamut3", publicPrimaries(0x0C): "S-Gamut3.Cine",
	publicPrimaries(0x0D): "V-Gamut", publicPrimaries(0x0E): "Cinema Gamut",
	{0x0E, 6, 4, 1, 1, 3, 1, 3}: "S-Gamut",
	{0x0E, 6, 4, 1, 1, 3, 1, 4}: "S-Gamut3",
	{0x0E, 6, 4, 1, 1, 3, 1, 5}: "S-Gamut3.Cine",
}

// gamutOf returns the name of a label of primaries, or nothing.
func gamutOf(l container.Label) string {
	v, ok := labelValue(l)
	if !ok {
		return ""
	}
	if [4]byte(v[:4]) == [4]byte{0x0E, 0x15, 0, 2} {
		return map[byte]string{2: "Cinema Gamut", 4: "P3-DCI"}[v[4]]
	}
	return gamuts[v]
}

// codingOf returns the name of a label of coding equations, or nothing.
func codingOf(l container.Label) string {
	v, ok := labelValue(l)
	if !ok || [5]byte(v[:5]) != [5]byte{4, 1, 1, 1, 2} || v[6] != 0 || v[7] != 0 {
		return ""
	}
	return map[byte]string{1: "BT.601", 2: "BT.709", 3: "SMPTE 240M", 4: "YCgCo",
		5: "GBR", 6: "BT.2020", 7: "ICtCp"}[v[5]]
}
