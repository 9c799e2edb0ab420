package metadata

import "errors"

// A frame is what the per-frame sets of one picture say.
type frame struct {
	camera   Camera
	gamma    *labelItem // capture gamma
	problems []string
	unknown  []string
}

// A labelItem is a label and the place it stood in.
type labelItem struct {
	label universalLabel
	where string
}

// The identifiers of the user set whose items E3xx are known (MediaInfoLib, File_Mxf.cpp).
const (
	userIdentifier  = "\x96\x69\x08\x00\x46\x78\x03\x1C\x20\x50\x00\x00\xF0\xC0\x11\x81"
	userIdentifier2 = "\x96\x69\x08\x00\x46\x78\x03\x1C\x20\x50\x00\x02\xF0\xC0\x11\x81"
)

// frameFromSets reads the sets of one frame. Damage in one item costs that item only.
func frameFromSets(p []byte, where string) frame {
	f := frame{}
	units := map[universalLabel]items{}
	err := eachTriplet(p, func(k universalLabel, v []byte) {
		for _, known := range frameSets {
			if !k.same(known) {
				continue
			}
			if units[known] == nil {
				units[known] = items{}
			}
			if err := units[known].read(v); err != nil {
				f.problems = append(f.problems, where+": "+err.Error())
			}
		}
	})
	if err != nil {
		f.problems = append(f.problems, where+": "+err.Error())
	}
	f.lens(units[lensSet])
	f.lens(units[privateLensSet])
	f.exposure(units[cameraSet])
	f.exposure(units[privateCameraSet])
	f.colour(units[cameraSet], 0x3210, 0x3219, where)
	f.colour(units[privateCameraSet], 0x3210, 0x3219, where)
	f.colour(units[privateCameraSet], 0xE211, 0xE212, where)
	f.user(units[userSet])
	return f
}

// rtmdFrame reads a sample of an rtmd track: a header that gives its own length and holds the
// timecode at offset 13 in plain binary, then the sets, then zeros.
func rtmdFrame(p []byte) (frame, error) {
	if len(p) < 2 {
		return frame{}, errors.New("it is empty")
	}
	header := int(p[0])<<8 | int(p[1])
	if header < 2 || header > len(p) {
		return frame{}, errors.New("it has no header of its own length")
	}
	f := frameFromSets(p[header:], "rtmd track")
	if header >= 18 {
		f.camera.Timecode = timecode(p[13], p[14], p[15], p[17], p[16] != 0)
	}
	return f, nil
}

// fromFrames takes the settings of the first frame, the curve of all, and what changed.
func (n *notes) fromFrames(frames []frame, held int) {
	if len(frames) == 0 {
		return
	}
	var cameras []Camera
	for _, f := range frames {
		cameras = append(cameras, f.camera)
		for _, p := range f.problems {
			n.problemf("%s", p)
		}
		for _, u := range f.unknown {
			n.unknownf("%s", u)
		}
		if f.gamma != nil {
			n.claim(gammaOf(f.gamma.label), OriginAcquisition, f.gamma.where, f.gamma.label.String())
		}
	}
	n.camera.fill(cameras[0])
	n.camera.SetsHeld, n.camera.SetsRead = held, len(frames)
	n.camera.Changes = changes(cameras)
}
