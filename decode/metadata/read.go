package metadata

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"stopledger/decode/metadata/container"
)

// Read opens the clip at path and reports what it says of its recording, together with the XML
// file beside it (stem + M01.XML) if there is one. Damaged or foreign metadata is no error: it is
// told in the Record. The error is the operating system's, naming the file; a Record that comes
// with an error holds what was found before it and what the hints and the XML beside the clip say.
func Read(path string, hints Hints) (Record, error) {
	in, err := gatherFile(path, hints.Container)
	var beside []document
	if doc, ok := sidecar(path); ok {
		beside = append(beside, doc)
	}
	return interpret(in, beside, hints), err
}

// gatherFile looks into the file at path. What is found is never nil.
func gatherFile(path, format string) (*container.Found, error) {
	f, info, err := openRegular(path)
	if err != nil {
		return &container.Found{}, fmt.Errorf("reading acquisition metadata: %w", err)
	}
	defer f.Close()
	in, err := container.Read(f, info.Size(), format)
	if err != nil {
		err = fmt.Errorf("reading acquisition metadata of %s: %w", path, err)
	}
	return in, err
}

// interpret asks the sources in order of trust; beside are documents beside the clip.
func interpret(in *container.Found, beside []document, hints Hints) Record {
	n := &notes{problems: in.Problems}
	n.fromFrames(in.Frames, in.FramesHeld)
	for _, d := range in.Documents {
		n.fromDocument(document{OriginClipXML, d})
	}
	for _, d := range beside {
		n.fromDocument(d)
	}
	n.fromKeys(withTags(in.Keys, hints.Tags))
	for _, l := range in.Logs {
		n.claim(customGamma(l), OriginKey, "logs box", l)
	}
	for _, i := range in.Notes {
		n.fromUserItem(i)
	}
	for _, d := range in.Descriptors {
		n.fromDescriptor(d)
	}
	n.fromColour(in.Colours, hints)
	return n.record()
}

// sidecar reads the XML that cameras write beside a clip: C0001.MP4 has C0001M01.XML.
func sidecar(path string) (document, bool) {
	stem := strings.TrimSuffix(path, filepath.Ext(path))
	for _, tail := range []string{"M01.XML", "M01.xml", "m01.xml"} {
		f, info, err := openRegular(stem + tail)
		if err != nil {
			continue
		}
		defer f.Close()
		if info.Size() > container.MaxXML {
			return document{}, false
		}
		text, err := io.ReadAll(io.LimitReader(f, info.Size()))
		if err != nil {
			return document{}, false
		}
		where := filepath.Base(stem) + tail
		return document{OriginSidecar, container.Document{Where: where, Data: bytes.TrimRight(text, "\x00")}}, true
	}
	return document{}, false
}

// openRegular opens a file, and nothing else: to open a pipe may take for ever, and a device may do
// anything.
func openRegular(path string) (*os.File, os.FileInfo, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil, fmt.Errorf("%s: not a file", path)
	}
	f, err := os.Open(path)
	return f, info, err
}
