package card

import (
	"encoding/hex"
	"io"
	"path/filepath"
	"strings"

	"stopledger/cmd/internal/disk"
	"stopledger/decode/metadata/container"
)

// A span is what a clip's file says of the recording that it is a part of: names of this part, of
// the one before and of the one after, in one naming. They are empty where it does not say.
type span struct{ Self, Previous, Next string }

// spanOf returns what the file at path, or the XML that belongs to it, says of other parts. It is
// said in two ways: a Matroska segment names those it is linked with, and the clip XML of a card
// that keeps pictures in VIDEO names them in CLIP (ClipContent, with Relation and Connection; from
// memory). Names of files say nothing here.
func spanOf(path string) span {
	if root := cardXML(path); root != nil {
		return spanIn(root)
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".mkv", ".webm":
	default:
		return span{}
	}
	f, err := disk.Open(path)
	if err != nil {
		return span{}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return span{}
	}
	l := container.LinkedSegments(f, info.Size())
	return span{hex.EncodeToString(l.Self), hex.EncodeToString(l.Previous), hex.EncodeToString(l.Next)}
}

// cardXML reads CLIP/NAME.XML beside the folder VIDEO that a clip is in; nil where there is none.
func cardXML(path string) *container.Element {
	folder, name := filepath.Split(path)
	if !strings.EqualFold(filepath.Base(folder), "VIDEO") {
		return nil
	}
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	for _, beside := range []string{"CLIP/" + stem + ".XML", "CLIP/" + stem + ".xml", "clip/" + stem + ".xml"} {
		f, err := disk.Open(filepath.Join(folder, "..", filepath.FromSlash(beside)))
		if err != nil {
			continue
		}
		defer f.Close()
		text, err := io.ReadAll(io.LimitReader(f, container.MaxXML))
		if err != nil {
			return nil
		}
		root, err := container.ParseXML(text)
		if err != nil {
			return nil
		}
		return root
	}
	return nil
}

func spanIn(root *container.Element) span {
	content := root.Child("ClipContent")
	connection := content.Child("Relation", "Connection")
	return span{
		Self:     content.Child("GlobalClipID").Content(),
		Previous: connection.Child("Previous", "GlobalClipID").Content(),
		Next:     connection.Child("Next", "GlobalClipID").Content(),
	}
}
