package metadata

import (
	"cmp"
	"encoding/hex"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata/container"
)

// fromNonRealTime reads the clip metadata that comes in a meta box or a sidecar (root
// NonRealTimeMeta; layout from a camera's own file, see the tests).
func (n *notes) fromNonRealTime(root *container.Element, d document) {
	c := Camera{
		Make:     root.Child("Device").Attr("manufacturer"),
		Model:    root.Child("Device").Attr("modelName"),
		Serial:   root.Child("Device").Attr("serialNo"),
		Lens:     root.Child("Lens").Attr("modelName"),
		Timecode: firstLTC(root.Child("LtcChangeTable")),
	}
	if c.Serial == "4294967295" { // all ones: not set
		c.Serial = ""
	}
	if fps, ok := (container.Value{Text: root.Child("VideoFormat", "VideoFrame").Attr("captureFps")}).Num(); ok {
		c.CaptureFPS = positive(Setting(fps))
	}
	for _, group := range root.Child("AcquisitionRecord").All("Group") {
		for _, item := range group.All("Item") {
			n.nonRealTimeItem(&c, item.Attr("name"), item.Attr("value"), d)
		}
	}
	n.camera.fill(c)
	n.recorded = cmp.Or(n.recorded, recordedAt(root.Child("CreationDate").Attr("value")))
}

func (n *notes) nonRealTimeItem(c *Camera, name, v string, d document) {
	switch name {
	case "CaptureGammaEquation":
		n.claim(spoken(v), d.origin, d.Where+", "+name, v)
	case "CaptureColorPrimaries":
		if c.Gamut = spokenGamut(v); c.Gamut == "" {
			n.unknownf("%s, %s: %s", d.Where, name, v)
		}
	case "CodingEquations":
		c.Coding = spokenGamut(v)
	}
}

// firstLTC returns the timecode of frame 0 out of a table of changes.
func firstLTC(table *container.Element) string {
	for _, c := range table.All("LtcChange") {
		if c.Attr("frameCount") == "0" {
			return ltc(c.Attr("value"))
		}
	}
	return ""
}

// ltc reads eight digits FF SS MM HH in BCD. The tens of frames share their digit with flags, of
// which bit 2 is drop frame (SMPTE ST 12M word; from memory).
func ltc(digits string) string {
	p, err := hex.DecodeString(digits)
	if err != nil || len(p) != 4 {
		return ""
	}
	const dropFlag = 0x40
	var part [4]byte
	for i, mask := range []byte{0x3F, 0x7F, 0x7F, 0x3F} {
		b := p[i] & mask
		if b&0x0F > 9 {
			return ""
		}
		part[i] = b>>4*10 + b&0x0F
	}
	return container.Timecode(part[3], part[2], part[1], part[0], p[0]&dropFlag != 0)
}

// spokenGamuts are words for primaries and matrices, folded.
var spokenGamuts = map[string]string{
	"sgamut": "S-Gamut", "sgamut3": "S-Gamut3", "sgamut3cine": "S-Gamut3.Cine",
	"rec709": "BT.709", "bt709": "BT.709", "rec2020": "BT.2020", "bt2020": "BT.2020",
	"vgamut": "V-Gamut", "rec601": "BT.601",
}

func spokenGamut(s string) string { return spokenGamuts[curve.Fold(s)] }

// fromClipMain reads clip metadata of root ClipMain, which comes as the value of a key (paths as
// quoted from cameras' files by third parties).
func (n *notes) fromClipMain(root *container.Element, d document) {
	device := root.Within("ClipMetadata").Child("Device")
	unit := root.Within("AcquisitionMetadata").Child("CameraUnitMetadata")
	video := root.Within("EssenceList").Child("Video")
	c := Camera{
		Make:     device.Child("Manufacturer").Content(),
		Model:    device.Child("ModelName").Content(),
		Timecode: video.Child("StartTimecode").Content(),
	}
	if v, ok := (container.Value{Text: unit.Child("ISOSensitivity").Content()}).Num(); ok {
		c.ISO = positive(Setting(v))
	}
	if v, ok := (container.Value{Text: unit.Child("WhiteBalanceColorTemperature").Content()}).Num(); ok {
		c.WhiteBalanceK = positive(Setting(v))
	}
	if gamut := unit.Child("Gamut", "CaptureGamut").Content(); gamut != "" {
		if c.Gamut = spokenGamut(gamut); c.Gamut == "" {
			n.unknownf("%s, CaptureGamut: %s", d.Where, gamut)
		}
	}
	if gamma := unit.Child("Gamma", "CaptureGamma").Content(); gamma != "" {
		n.claim(spoken(strings.TrimSpace(gamma)), d.origin, d.Where+", CaptureGamma", gamma)
	}
	n.camera.fill(c)
}

// A document is XML about a clip, and where it came from.
type document struct {
	origin Origin
	container.Document
}

// fromDocument reads a document by the name of its root.
func (n *notes) fromDocument(d document) {
	root, err := container.ParseXML(d.Data)
	if err != nil {
		n.problemf("%s: %v", d.Where, err)
		return
	}
	switch root.Name {
	case "NonRealTimeMeta":
		n.fromNonRealTime(root, d)
	case "ClipMain":
		n.fromClipMain(root, d)
	default:
		n.unknownf("%s: XML of root %s", d.Where, root.Name)
	}
}
