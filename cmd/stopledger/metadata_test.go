package main

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"os"
	"strings"
	"testing"
)

// Metadata as cameras write it, put into encoded clips: boxes after ISO/IEC 14496-12, sets after
// SMPTE ST 336 and the SMPTE metadata registers (which cite RDD 18 for the items), XML after a
// camera's own file. Nothing here is shared with the readers.

func joined(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

func be16(v int) []byte { return binary.BigEndian.AppendUint16(nil, uint16(v)) }
func be32(v int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(v)) }

func fromHex(digits string) []byte {
	p, err := hex.DecodeString(strings.ReplaceAll(digits, " ", ""))
	if err != nil {
		panic(err)
	}
	return p
}

func boxOf(kind string, body ...[]byte) []byte {
	b := joined(body...)
	return joined(be32(8+len(b)), []byte(kind), b)
}

// fullBox has a version and flags of zero.
func fullBox(kind string, body ...[]byte) []byte { return boxOf(kind, be32(0), joined(body...)) }

func handler(kind string) []byte { return fullBox("hdlr", be32(0), []byte(kind), make([]byte, 13)) }

// Labels: capture gamma, private, S-Gamut3.Cine/S-Log3; primaries, private, S-Gamut3.Cine; exposure
// set by hand; transfer characteristic, public, of HLG and of the camera log S3 (ST 2115).
const (
	labelSLog3     = "060E2B34 04010106 0E060401 01010605"
	labelVLog      = "060E2B34 0401010D 04010101 010F0000"
	labelManual    = "060E2B34 0401010B 05100101 01010000"
	labelGamut3C   = "060E2B34 04010106 0E060401 01030105"
	labelHLG       = "060E2B34 0401010D 04010101 010B0000"
	labelCameraLog = "060E2B34 0401010D 04010101 010E0000"
)

func klvItem(tag int, value ...[]byte) []byte {
	v := joined(value...)
	return joined(be16(tag), be16(len(v)), v)
}

func klvSet(key string, items ...[]byte) []byte {
	v := joined(items...)
	return joined(fromHex(key), []byte{0x83, 0}, be16(len(v)), v)
}

// frameSettings is a sample of an rtmd track: 28 bytes of header, the lens's set (F2.8) and the
// camera's set.
func frameSettings(gamma string, iso int) []byte {
	header := make([]byte, 28)
	header[1] = 28
	copy(header[13:], []byte{10, 2, 30, 0, 12}) // timecode
	lens := klvSet("060E2B34 02530101 0C020101 01010000", klvItem(0x8000, be16(0xD077)),
		klvItem(0x8005, be16(0xD032)), klvItem(0x8007, []byte("prime"))) // 50 x 10^-3 m
	camera := klvSet("060E2B34 02530101 0C020101 02010000",
		klvItem(0x3210, fromHex(gamma)), klvItem(0x3219, fromHex(labelGamut3C)),
		klvItem(0x8100, fromHex(labelManual)),
		klvItem(0x8103, be16(4)),           // transmits a quarter
		klvItem(0x8106, be32(25), be32(1)), // frames a second
		klvItem(0x8108, be32(180*60)),      // degrees
		klvItem(0x8109, be32(1), be32(50)), // s
		klvItem(0x810A, be16(-300)),        // hundredths of a dB
		klvItem(0x810B, be16(iso)),         //
		klvItem(0x810E, be16(5600)),        // K
		klvItem(0x8114, []byte("Model Two 0012345")),
		klvItem(0x8115, be16(640)),  // exposure index
		klvItem(0x811F, be16(-315))) // 10^-5 Duv
	return joined(header, lens, camera, make([]byte, 16))
}

// withTrack returns an MP4 or QuickTime file, whose moov is its last box as FFmpeg writes it,
// with a track of frame settings more.
func withTrack(t *testing.T, file []byte, samples ...[]byte) []byte {
	t.Helper()
	moovAt := lastBox(t, file, "moov")
	at := moovAt + 8
	var sizes []byte
	for _, s := range samples {
		sizes = append(sizes, be32(len(s))...)
	}
	count, frames := be32(len(samples)), be32(len(samples))
	table := boxOf("stbl",
		fullBox("stsd", be32(1), boxOf("rtmd", make([]byte, 6), be16(1))),
		fullBox("stts", be32(1), count, be32(1)),
		fullBox("stsc", be32(1), be32(1), count, be32(1)),
		fullBox("stsz", be32(0), count, sizes),
		fullBox("stco", be32(1), be32(at)))
	track := boxOf("trak", fullBox("tkhd", be32(0), be32(0), be32(9), be32(0), frames, make([]byte, 60)),
		boxOf("mdia", fullBox("mdhd", be32(0), be32(0), be32(25), frames, be32(0)), handler("meta"), boxOf("minf", table)))
	return joined(file[:moovAt], boxOf("mdat", samples...), boxOf("moov", file[moovAt+8:], track))
}

// lastBox returns where the last box of a file begins, which must be of a kind.
func lastBox(t *testing.T, file []byte, kind string) int {
	t.Helper()
	last := 0
	for at := 0; at < len(file); {
		last, at = at, at+int(binary.BigEndian.Uint32(file[at:]))
	}
	if string(file[last+4:last+8]) != kind {
		t.Fatalf("the last box is %s, not %s", file[last+4:last+8], kind)
	}
	return last
}

// clipXML is a camera's document about a clip: layout of a real one of an ILME-FX3, names of
// gamma and gamut put in.
func clipXML(gamma, gamut string) []byte {
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<NonRealTimeMeta xmlns="urn:schemas-professionalDisc:nonRealTimeMeta:ver.2.20" lastUpdate="2023-05-01T12:00:00+02:00">
	<Duration value="4"/>
	<LtcChangeTable tcFps="25" halfStep="false">
		<LtcChange frameCount="0" value="17305719" status="increment"/>
	</LtcChangeTable>
	<VideoFormat><VideoFrame videoCodec="AVC" captureFps="25p" formatFps="25p"/></VideoFormat>
	<Device manufacturer="Sony" modelName="ILME-FX3" serialNo="4294967295"/>
	<AcquisitionRecord><Group name="CameraUnitMetadataSet">
		<Item name="CaptureGammaEquation" value="%s"/>
		<Item name="CaptureColorPrimaries" value="%s"/>
		<Item name="CodingEquations" value="rec709"/>
	</Group></AcquisitionRecord>
</NonRealTimeMeta>`, gamma, gamut)
}

// metaBox is the box at the end of a file that holds such a document.
func metaBox(xml []byte) []byte { return fullBox("meta", handler("nrtm"), fullBox("xml ", xml)) }

func mustRead(t testing.TB, path string) []byte {
	t.Helper()
	p, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustWrite(t testing.TB, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
}

// replaceAll writes other bytes over every place where old stands in a file.
func replaceAll(t *testing.T, path string, old, with []byte) {
	t.Helper()
	file := mustRead(t, path)
	if !bytes.Contains(file, old) {
		t.Fatalf("%s does not hold % X", path, old)
	}
	mustWrite(t, path, bytes.ReplaceAll(file, old, with))
}

func addTrack(t *testing.T, path string) { addTrackOf(labelSLog3)(t, path) }

func addTrackOf(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		sample := frameSettings(gamma, 800)
		mustWrite(t, path, withTrack(t, mustRead(t, path), sample, sample, sample, sample))
	}
}

func addMeta(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		mustWrite(t, path, joined(mustRead(t, path), metaBox(clipXML(gamma, "s-gamut3-cine"))))
	}
}

// addDescriptor puts the label of a camera log, which FFmpeg 5.1 cannot write, in place of HLG.
func addDescriptor(t *testing.T, path string) {
	replaceAll(t, path, fromHex(labelHLG)[8:], fromHex(labelCameraLog)[8:])
}

func all(adds ...func(*testing.T, string)) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		for _, add := range adds {
			add(t, path)
		}
	}
}
