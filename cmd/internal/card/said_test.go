package card

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// element writes an EBML element with a size of eight bytes (RFC 8794, section 4).
func element(id uint32, content ...[]byte) []byte {
	body := bytes.Join(content, nil)
	head := bytes.TrimLeft(binary.BigEndian.AppendUint32(nil, id), "\x00")
	return append(binary.BigEndian.AppendUint64(head, 1<<56|uint64(len(body))), body...)
}

func uuid(b byte) []byte { return bytes.Repeat([]byte{b}, 16) }

func linkedSegment() []byte {
	info := element(0x1549A966, element(0x2AD7B1, []byte{15, 66, 64}), element(0x73A4, uuid(1)),
		element(0x3CB923, uuid(2)), element(0x3EB923, uuid(3)))
	return append(element(0x1A45DFA3, element(0x4282, []byte("matroska"))),
		element(0x18538067, element(0xEC, make([]byte, 100)), info, element(0x1F43B675))...)
}

const linkedXML = `<?xml version="1.0" encoding="UTF-8"?>
<P2Main xmlns="urn:schemas-Professional-Plug-in:P2:ClipMetadata:v3.1"><ClipContent><ClipName>0002CD</ClipName>
<GlobalClipID>B</GlobalClipID><Duration>100</Duration>
<Relation><OffsetInShot>50</OffsetInShot><GlobalShotID>S</GlobalShotID>
<Connection><Top><GlobalClipID>A</GlobalClipID></Top><Previous><GlobalClipID>A</GlobalClipID></Previous>
<Next><GlobalClipID>C</GlobalClipID></Next></Connection></Relation></ClipContent></P2Main>`

func TestSpanOf(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, folder := range []string{"CONTENTS/VIDEO", "CONTENTS/CLIP"} {
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	build.WriteFile(t, "a.mkv", linkedSegment())
	build.WriteFile(t, "b.mov", linkedSegment())
	build.WriteFile(t, "cut.mkv", linkedSegment()[:100])
	build.WriteFile(t, "CONTENTS/VIDEO/0002CD.MXF", []byte("video"))
	build.WriteFile(t, "CONTENTS/VIDEO/0003EF.MXF", []byte("video"))
	build.WriteFile(t, "CONTENTS/CLIP/0002CD.XML", []byte(linkedXML))
	build.WriteFile(t, "CONTENTS/CLIP/0003EF.XML", []byte("<P2Main>"))
	of := func(b byte) string { return string(bytes.Repeat([]byte{'0', '0' + b}, 16)) }
	for path, want := range map[string]span{
		"a.mkv": {of(1), of(2), of(3)}, "b.mov": {}, "cut.mkv": {}, "gone.mkv": {},
		filepath.Join("CONTENTS", "VIDEO", "0002CD.MXF"): {"B", "A", "C"},
		filepath.Join("CONTENTS", "VIDEO", "0003EF.MXF"): {},
	} {
		if got := spanOf(path); got != want {
			t.Errorf("%s: %q, want %q", path, got, want)
		}
	}
}

// A file that FFmpeg's own writer made names itself and no other.
func TestSpanOfAnotherWriter(t *testing.T) {
	path := build.FFmpeg(t, "one.mkv", "-f", "lavfi", "-i", "testsrc2=size=64x48:rate=25:duration=0.2", "-c:v", "ffv1")
	if s := spanOf(path); len(s.Self) != 32 || s.Previous != "" || s.Next != "" {
		t.Errorf("%+v", s)
	}
}

func FuzzLinkedSegments(f *testing.F) {
	f.Add(linkedSegment())
	f.Add(linkedSegment()[:90])
	f.Add([]byte{0x1A, 0x45, 0xDF, 0xA3, 0x80, 0x18, 0x53, 0x80, 0x67, 0x01, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff})
	f.Fuzz(func(t *testing.T, data []byte) {
		l := container.LinkedSegments(bytes.NewReader(data), int64(len(data)))
		for _, id := range [][]byte{l.Self, l.Previous, l.Next} {
			if len(id) != 0 && (len(id) != 16 || !bytes.Contains(data, id)) {
				t.Errorf("%x", id)
			}
		}
	})
}
