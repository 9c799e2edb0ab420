package container

import "slices"

const (
	maxTracks    = 64
	visualHeader = 78      // bytes of a visual sample entry before its boxes (ISO/IEC 14496-12, 12.1.3)
	maxUserItem  = 1 << 20 // bytes of one camera's note that are looked at
)

// noteKinds are the items of moov/udta in which cameras' notes are looked for.
var noteKinds = []string{"MVTG", "PANA"}

// gatherBoxes looks through an MP4 or QuickTime file.
func (in *Found) gatherBoxes(s *source) {
	top := s.boxes(0, s.size)
	for _, b := range top {
		switch b.kind {
		case "meta":
			in.gatherClipXML(s, b)
		case "moov":
			in.gatherMovie(s, b)
		}
	}
}

// gatherClipXML reads the non-real-time metadata of a meta box at the top of the file.
func (in *Found) gatherClipXML(s *source, meta box) {
	list, handler := s.metaChildren(meta)
	text, ok := first(list, "xml ")
	if handler != "nrtm" || !ok || text.size() <= 4 {
		return
	}
	if text.size() > MaxXML {
		in.problemf("the XML in the clip's meta box is larger than %d bytes", MaxXML)
		return
	}
	p, err := s.read(text.start+4, text.size()-4)
	if err != nil {
		in.problemf("the XML in the clip's meta box: %v", err)
		return
	}
	in.Documents = append(in.Documents, Document{"meta box", p})
}

func (in *Found) gatherMovie(s *source, moov box) {
	tracks := 0
	for _, b := range s.children(moov) {
		switch b.kind {
		case "meta":
			in.gatherKeys(s, b, "moov")
		case "udta":
			in.gatherUserData(s, b)
		case "trak":
			if tracks++; tracks <= maxTracks {
				in.gatherTrack(s, b)
			}
		}
	}
}

// gatherUserData takes the camera's notes out of moov/udta, and keys, which FFmpeg writes there.
func (in *Found) gatherUserData(s *source, udta box) {
	for _, b := range s.children(udta) {
		if b.kind == "meta" {
			in.gatherKeys(s, b, "udta")
		}
		if !slices.Contains(noteKinds, b.kind) || len(in.Notes) >= maxTracks {
			continue
		}
		if p, err := s.readUpTo(b.start, maxUserItem, b.end); err == nil {
			in.Notes = append(in.Notes, Note{b.kind, p})
		}
	}
}

func (in *Found) gatherTrack(s *source, trak box) {
	if meta, ok := s.descend(trak, "meta"); ok {
		in.gatherKeys(s, meta, "track")
	}
	hdlr, _ := s.descend(trak, "mdia", "hdlr")
	stbl, ok := s.descend(trak, "mdia", "minf", "stbl")
	if !ok {
		return
	}
	entry, ok := s.sampleEntry(stbl)
	switch {
	case !ok:
	case entry.kind == "rtmd" && len(in.Frames) == 0:
		in.gatherRTMD(s, stbl)
	case s.handler(hdlr) == "vide":
		in.gatherPicture(s, entry)
	}
}

// sampleEntry returns the first entry of the track's sample descriptions.
func (s *source) sampleEntry(stbl box) (box, bool) {
	stsd, ok := s.descend(stbl, "stsd")
	if !ok {
		return box{}, false
	}
	list := s.boxes(stsd.start+8, stsd.end) // after version, flags and count
	if len(list) == 0 {
		return box{}, false
	}
	return list[0], true
}

// gatherPicture reads the boxes inside a picture track's sample entry.
func (in *Found) gatherPicture(s *source, entry box) {
	for _, b := range s.boxes(entry.start+visualHeader, entry.end) {
		switch b.kind {
		case "logs":
			if p, err := s.readUpTo(b.start, 256, b.end); err == nil {
				in.Logs = append(in.Logs, Text(p))
			}
		case "colr":
			if p, err := s.readUpTo(b.start, 16, b.end); err == nil {
				in.addColour(p)
			}
		}
	}
}

// gatherRTMD reads frames of a track of real-time metadata, spread over the clip.
func (in *Found) gatherRTMD(s *source, stbl box) {
	table, err := s.sampleTable(stbl)
	if err != nil {
		in.problemf("rtmd track: %v", err)
		return
	}
	in.FramesHeld = table.count
	for _, i := range spread(table.count, framesLookedAt) {
		p, err := s.sample(table, i)
		if err != nil {
			in.problemf("rtmd track, sample %d: %v", i+1, err)
			continue
		}
		f, err := rtmdFrame(p)
		if err != nil {
			in.problemf("rtmd track, sample %d: %v", i+1, err)
			continue
		}
		in.Frames = append(in.Frames, f)
	}
}
