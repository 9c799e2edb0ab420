package metadata

import "stopledger/decode/metadata/container"

// frameFrom reads the sets of one frame. Damage in one item costs that item only.
func frameFrom(c container.Frame) frame {
	f, where := frame{camera: Camera{Timecode: c.Timecode}}, c.Where
	units := map[container.Label]container.Items{}
	err := container.EachTriplet(c.Sets, func(k container.Label, v []byte) {
		for _, known := range container.FrameSets {
			if !k.Same(known) {
				continue
			}
			if units[known] == nil {
				units[known] = container.Items{}
			}
			if err := units[known].Read(v); err != nil {
				f.problems = append(f.problems, where+": "+err.Error())
			}
		}
	})
	if err != nil {
		f.problems = append(f.problems, where+": "+err.Error())
	}
	f.lens(units[container.LensSet])
	f.lens(units[container.PrivateLensSet])
	f.exposure(units[container.CameraSet])
	f.exposure(units[container.PrivateCameraSet])
	f.colour(units[container.CameraSet], 0x3210, 0x3219, where)
	f.colour(units[container.PrivateCameraSet], 0x3210, 0x3219, where)
	f.colour(units[container.PrivateCameraSet], 0xE211, 0xE212, where)
	f.user(units[container.UserSet])
	return f
}

// fromFrames takes the settings of the first frame, the curve of all, and what changed.
func (n *notes) fromFrames(frames []container.Frame, held int) {
	if len(frames) == 0 {
		return
	}
	var cameras []Camera
	for _, c := range frames {
		f := frameFrom(c)
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
