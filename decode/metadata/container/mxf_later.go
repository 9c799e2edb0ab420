package container

import "bytes"

// Frames behind the first are found by looking for the key that carried the first frame's
// settings: a match of sixteen bytes inside compressed pictures is not to be expected, and
// index tables need not be trusted.
const (
	laterPlaces = 6        // evenly spread; the middle is one, the end of the file the last
	laterWindow = 24 << 20 // bytes looked through at each place; a frame of 8K raw fits
	laterBlock  = 1 << 20
)

// laterFrames reads one frame at each place behind after, the last one of the file included.
func (s *source) laterFrames(carrier Label, after int64) []Frame {
	var frames []Frame
	next := after // no frame is read twice
	for i := 1; i <= laterPlaces; i++ {
		from := after + (s.size-after)*int64(i)/laterPlaces
		last := i == laterPlaces
		if last {
			from = max(after, s.size-laterWindow)
		}
		at, ok := s.seek(carrier, from, last)
		if !ok || at < next {
			continue
		}
		next = at + 1
		if f, ok := s.laterFrame(at); ok {
			frames = append(frames, f)
		}
	}
	return frames
}

// laterFrame reads the frame at the carrier's key, wherever that key stands.
func (s *source) laterFrame(at int64) (Frame, bool) {
	t, ok := s.triplet(at)
	if !ok {
		return Frame{}, false
	}
	f, _, _, ok := s.frameAt(t, at)
	return f, ok
}

// seek finds a key within a window: the first match, or the last.
func (s *source) seek(key Label, from int64, last bool) (int64, bool) {
	found := int64(-1)
	limit := min(s.size, from+laterWindow)
	for at := from; at < limit; at += laterBlock {
		p, err := s.readUpTo(at, laterBlock+int64(len(key))-1, limit)
		if err != nil {
			break
		}
		find := bytes.Index
		if last {
			find = bytes.LastIndex
		}
		if i := find(p, key[:]); i >= 0 {
			found = at + int64(i)
			if !last {
				break
			}
		}
	}
	return found, found >= 0
}
