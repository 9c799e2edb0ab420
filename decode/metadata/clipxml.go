package metadata

import (
	"encoding/hex"
	"strings"

	"stopledger/curve"
)

// fromNonRealTime reads the clip metadata that comes in a meta box or a sidecar (root
// NonRealTimeMeta; layout from a camera's own file, see the tests).
func (n *notes) fromNonRealTime(root *element, d document) {
	c := Camera{
		Make:     root.child("Device").attr("manufacturer"),
		Model:    root.child("Device").attr("modelName"),
		Serial:   root.child("Device").attr("serialNo"),
		Lens:     root.child("Lens").attr("modelName"),
		Timecode: firstLTC(root.child("LtcChangeTable")),
	}
	if c.Serial == "4294967295" { // all ones: not set
		c.Serial = ""
	}
	if fps, ok := (value{text: root.child("VideoFormat", "VideoFrame").attr("captureFps")}).num(); ok {
		c.CaptureFPS = positive(Setting(fps))
	}
	for _, group := range root.child("AcquisitionRecord").all("Group") {
		for _, item := range group.all("Item") {
			n.nonRealTimeItem(&c, item.attr("name"), item.attr("value"), d)
		}
	}
	n.camera.fill(c)
}

func (n *notes) nonRealTimeItem(c *Camera, name, v string, d document) {
	switch name {
	case "CaptureGammaEquation":
		n.claim(spoken(v), d.origin, d.where+", "+name, v)
	case "CaptureColorPrimaries":
		if c.Gamut = spokenGamut(v); c.Gamut == "" {
			n.unknownf("%s, %s: %s", d.where, name, v)
		}
	case "CodingEquations":
		c.Coding = spokenGamut(v)
	}
}

// all returns the children of a name; none of nil.
func (e *element) all(name string) []*element {
	if e == nil {
		return nil
	}
	var list []*element
	for _, c := range e.children {
		if c.name == name {
			list = append(list, c)
		}
	}
	return list
}

// firstLTC returns the timecode of frame 0 out of a table of changes.
func firstLTC(table *element) string {
	for _, c := range table.all("LtcChange") {
		if c.attr("frameCount") == "0" {
			return ltc(c.attr("value"))
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
	return timecode(part[3], part[2], part[1], part[0], p[0]&dropFlag != 0)
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
func (n *notes) fromClipMain(root *element, d document) {
	device := root.within("ClipMetadata").child("Device")
	unit := root.within("AcquisitionMetadata").child("CameraUnitMetadata")
	video := root.within("EssenceList").child("Video")
	c := Camera{
		Make:     device.child("Manufacturer").content(),
		Model:    device.child("ModelName").content(),
		Timecode: video.child("StartTimecode").content(),
	}
	if v, ok := (value{text: unit.child("ISOSensitivity").content()}).num(); ok {
		c.ISO = positive(Setting(v))
	}
	if v, ok := (value{text: unit.child("WhiteBalanceColorTemperature").content()}).num(); ok {
		c.WhiteBalanceK = positive(Setting(v))
	}
	if gamut := unit.child("Gamut", "CaptureGamut").content(); gamut != "" {
		if c.Gamut = spokenGamut(gamut); c.Gamut == "" {
			n.unknownf("%s, CaptureGamut: %s", d.where, gamut)
		}
	}
	if gamma := unit.child("Gamma", "CaptureGamma").content(); gamma != "" {
		n.claim(spoken(strings.TrimSpace(gamma)), d.origin, d.where+", CaptureGamma", gamma)
	}
	n.camera.fill(c)
}
