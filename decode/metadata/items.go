package metadata

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata/container"
)

// A frame is what the per-frame sets of one picture say.
type frame struct {
	camera   Camera
	gamma    *labelItem // capture gamma
	problems []string
	unknown  []string
}

// A labelItem is a label and the place it stood in.
type labelItem struct {
	label container.Label
	where string
}

// The identifiers of the user set whose items E3xx are known (MediaInfoLib, File_Mxf.cpp).
const (
	userIdentifier  = "\x96\x69\x08\x00\x46\x78\x03\x1C\x20\x50\x00\x00\xF0\xC0\x11\x81"
	userIdentifier2 = "\x96\x69\x08\x00\x46\x78\x03\x1C\x20\x50\x00\x02\xF0\xC0\x11\x81"
)

// Items of the per-frame sets: tags, types and scales as in the SMPTE metadata registers
// (Elements.xml), which cite RDD 18.

// lens reads the lens unit's set.
func (f *frame) lens(it container.Items) {
	c := &f.camera
	if v, ok := it.Unsigned(0x8000, 2); ok {
		c.IrisF = irisStop(uint16(v))
	}
	if v, ok := it.Unsigned(0x8008, 2); ok {
		c.IrisT = irisStop(uint16(v))
	}
	if v, ok := it.Unsigned(0x8005, 2); ok {
		c.FocalMM = positive(Setting(1000 * decimalHalf(uint16(v))))
	}
	if c.Lens == "" {
		c.Lens = container.Text(it[0x8007])
	}
}

// exposure reads the camera unit's set but for its labels of colour. Of an item that exists in a
// short and a long form the long one is preferred: the short one ends at 65535.
func (f *frame) exposure(it container.Items) {
	c := &f.camera
	if p := it[0x8109]; len(p) == 8 {
		c.ShutterS = positive(curve.Seconds(rational(p)))
	}
	if p := it[0x8106]; len(p) == 8 {
		c.CaptureFPS = positive(Setting(rational(p)))
	}
	if v, ok := it.Unsigned(0x8108, 4); ok {
		c.ShutterAngleDeg = positive(Setting(v) / 60)
	}
	if v, ok := it.Unsigned(0x8103, 2); ok {
		c.NDStops = ndStops(float64(v))
	}
	if v, ok := it.Unsigned(0x810A, 2); ok {
		c.GainDB = number(curve.Decibels(int16(v)) / 100)
	}
	if v, ok := it.Unsigned(0x810E, 2); ok {
		c.WhiteBalanceK = positive(Setting(v))
	}
	if v, ok := it.Unsigned(0x811F, 2); ok {
		c.Tint, c.TintUnit = number(curve.Amount(int16(v))*1e-5), "Duv"
	}
	keep(&c.ISO, it, 0x811E, 0x810B)
	keep(&c.ExposureIndex, it, 0x8119, 0x8115)
	if p, ok := it[0x8117]; ok {
		if c.Looks = colourDecisions(p); c.Looks == nil {
			f.problems = append(f.problems, "item 8117: not a colour decision list")
		}
	}
	if p := it[0x8100]; len(p) == 16 {
		c.Exposure = exposureModes[[8]byte(p[8:])]
	}
	if c.Model == "" {
		c.Model, c.Serial = modelAndSerial(container.Text(it[0x8114]))
	}
}

// keep sets a number from its long item of four bytes, else from its short one of two.
func keep(to **Setting, it container.Items, long, short uint16) {
	if v, ok := it.Unsigned(long, 4); ok && v > 0 {
		*to = number(Setting(v))
	} else if v, ok := it.Unsigned(short, 2); ok && v > 0 {
		*to = number(Setting(v))
	}
}

// exposureModes are the last eight bytes of the labels of item 8100.
var exposureModes = map[[8]byte]string{
	{5, 0x10, 1, 1, 1, 1, 0, 0}: "manual",
	{5, 0x10, 1, 1, 1, 2, 0, 0}: "automatic",
	{5, 0x10, 1, 1, 1, 3, 0, 0}: "gain priority",
	{5, 0x10, 1, 1, 1, 4, 0, 0}: "iris priority",
	{5, 0x10, 1, 1, 1, 5, 0, 0}: "shutter priority",
}

// colour reads the labels of gamma, primaries and coding equations of one set.
func (f *frame) colour(it container.Items, gamma, primaries uint16, where string) {
	if l, ok := f.label(it, gamma, where); ok && f.gamma == nil {
		f.gamma = &labelItem{l, fmt.Sprintf("%s, item %04X", where, gamma)}
	}
	if l, ok := f.label(it, primaries, where); ok && f.camera.Gamut == "" {
		if f.camera.Gamut = gamutOf(l); f.camera.Gamut == "" {
			f.unknown = append(f.unknown, fmt.Sprintf("%s, item %04X: %s", where, primaries, l))
		}
	}
	if l, ok := f.label(it, 0x321A, where); ok && f.camera.Coding == "" {
		f.camera.Coding = codingOf(l)
	}
}

// label returns an item that is a label; one of another length is an error of that item alone.
func (f *frame) label(it container.Items, tag uint16, where string) (container.Label, bool) {
	p, ok := it[tag]
	if !ok {
		return container.Label{}, false
	}
	if len(p) != 16 {
		f.problems = append(f.problems, fmt.Sprintf("%s, item %04X: a label of %d bytes instead of 16", where, tag, len(p)))
		return container.Label{}, false
	}
	return container.Label(p), true
}

// user reads the maker's set for an ISO that the camera's set did not give (ExifTool, Sony.pm;
// its authors guessed the meaning).
func (f *frame) user(it container.Items) {
	id := it[0xE000]
	if !bytes.Equal(id, []byte(userIdentifier)) && !bytes.Equal(id, []byte(userIdentifier2)) {
		return
	}
	if p := it[0xE301]; len(p) == 4 && f.camera.ISO == nil {
		f.camera.ISO = positive(Setting(binary.BigEndian.Uint32(p)))
	}
}

// modelAndSerial splits the camera's own text where it ends in a number of four digits or more,
// as in files seen by ExifTool's authors; otherwise all of it is the model.
func modelAndSerial(s string) (model, serial string) {
	i := strings.LastIndexByte(s, ' ')
	if i < 0 || len(s)-i-1 < 4 || strings.Trim(s[i+1:], "0123456789") != "" {
		return s, ""
	}
	return strings.TrimSpace(s[:i]), s[i+1:]
}
