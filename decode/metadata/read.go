package metadata

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Read opens the clip at path and reports what it says of its recording, together with the XML
// file beside it (stem + M01.XML) if there is one. Damaged or foreign metadata is no error: it is
// told in the Record. The error is the operating system's, naming the file; a Record that comes
// with an error holds what was found before it and what the hints and the XML beside the clip say.
func Read(path string, hints Hints) (Record, error) {
	in, err := gatherFile(path, hints.Container)
	if doc, ok := sidecar(path); ok {
		in.documents = append(in.documents, doc)
	}
	return in.interpret(hints), err
}

// gatherFile looks into the file at path. What is found is never nil.
func gatherFile(path, container string) (*found, error) {
	f, err := os.Open(path)
	if err != nil {
		return &found{}, fmt.Errorf("reading acquisition metadata: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return &found{}, fmt.Errorf("reading acquisition metadata: %w", err)
	}
	if !info.Mode().IsRegular() {
		return &found{}, fmt.Errorf("reading acquisition metadata of %s: not a file", path)
	}
	src := newSource(f, info.Size())
	in := gather(src, container)
	if src.fault != nil {
		err = fmt.Errorf("reading acquisition metadata of %s: %w", path, src.fault)
	}
	return in, err
}

// found is what a clip holds, before anything is made of it.
type found struct {
	frames      []frame // per-frame sets, spread over the clip in order of time
	framesHeld  int     // 0 where not known
	documents   []document
	keys        []key
	logs        []string
	items       []userItem
	colours     []Colour
	descriptors []descriptor
	problems    []string
}

func (in *found) problemf(format string, args ...any) { say(&in.problems, format, args...) }

// gather looks into the containers that carry metadata FFmpeg does not pass on.
func gather(s *source, container string) *found {
	in := &found{}
	switch {
	case isBoxes(s):
		in.gatherBoxes(s)
	case isMXF(s):
		in.gatherMXF(s)
	case strings.Contains(container, "mov"):
		in.gatherBoxes(s)
	}
	return in
}

// interpret asks the sources in order of trust.
func (in *found) interpret(hints Hints) Record {
	n := &notes{problems: in.problems}
	n.fromFrames(in.frames, in.framesHeld)
	for _, d := range in.documents {
		n.fromDocument(d)
	}
	n.fromKeys(withTags(in.keys, hints.Tags))
	for _, l := range in.logs {
		n.claim(customGamma(l), OriginKey, "logs box", l)
	}
	for _, i := range in.items {
		n.fromUserItem(i)
	}
	for _, d := range in.descriptors {
		n.fromDescriptor(d)
	}
	n.fromColour(in.colours, hints)
	return n.record()
}

// sidecar reads the XML that cameras write beside a clip: C0001.MP4 has C0001M01.XML.
func sidecar(path string) (document, bool) {
	stem := strings.TrimSuffix(path, filepath.Ext(path))
	for _, tail := range []string{"M01.XML", "M01.xml", "m01.xml"} {
		f, err := os.Open(stem + tail)
		if err != nil {
			continue
		}
		defer f.Close()
		info, err := f.Stat()
		if err != nil || !info.Mode().IsRegular() || info.Size() > maxXML {
			return document{}, false
		}
		text, err := newSource(f, info.Size()).read(0, info.Size())
		if err != nil {
			return document{}, false
		}
		return document{OriginSidecar, filepath.Base(stem) + tail, bytes.TrimRight(text, "\x00")}, true
	}
	return document{}, false
}
