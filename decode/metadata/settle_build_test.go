package metadata_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"testing"

	"stopledger/decode/metadata/internal/build"
)

// Metadata as cameras write it, put into encoded clips: items after the SMPTE metadata registers
// (which cite RDD 18), XML after a camera's own file. Nothing here is shared with the readers.

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

// frameSettings is a sample of an rtmd track: 28 bytes of header, the lens's set (F2.8) and the
// camera's set.
func frameSettings(gamma string, iso int) []byte {
	header := make([]byte, 28)
	header[1] = 28
	copy(header[13:], []byte{10, 2, 30, 0, 12}) // timecode
	lens := build.KLV("060E2B34 02530101 0C020101 01010000", build.Item(0x8000, build.U16(0xD077)),
		build.Item(0x8005, build.U16(0xD032)), build.Item(0x8007, []byte("prime"))) // 50 x 10^-3 m
	camera := build.KLV("060E2B34 02530101 0C020101 02010000",
		build.Item(0x3210, build.Unhex(gamma)), build.Item(0x3219, build.Unhex(labelGamut3C)),
		build.Item(0x8100, build.Unhex(labelManual)),
		build.Item(0x8103, build.U16(4)),                            // transmits a quarter
		build.Item(0x8106, build.Join(build.U32(25), build.U32(1))), // frames a second
		build.Item(0x8108, build.U32(180*60)),                       // degrees
		build.Item(0x8109, build.Join(build.U32(1), build.U32(50))), // s
		build.Item(0x810A, build.U16(-300)),                         // hundredths of a dB
		build.Item(0x810B, build.U16(iso)),                          //
		build.Item(0x810E, build.U16(5600)),                         // K
		build.Item(0x8114, []byte("Model Two 0012345")),
		build.Item(0x8115, build.U16(640)),  // exposure index
		build.Item(0x811F, build.U16(-315))) // 10^-5 Duv
	return build.Join(header, lens, camera, make([]byte, 16))
}

// withTrack returns an MP4 or QuickTime file, whose moov is its last box as FFmpeg writes it,
// with a track of frame settings more.
func withTrack(t *testing.T, file []byte, samples ...[]byte) []byte {
	t.Helper()
	moovAt := lastBox(t, file, "moov")
	at := moovAt + 8
	var sizes []byte
	for _, s := range samples {
		sizes = append(sizes, build.U32(len(s))...)
	}
	count, frames := build.U32(len(samples)), build.U32(len(samples))
	table := build.MP4("stbl",
		build.Full("stsd", build.U32(1), build.MP4("rtmd", make([]byte, 6), build.U16(1))),
		build.Full("stts", build.U32(1), count, build.U32(1)),
		build.Full("stsc", build.U32(1), build.U32(1), count, build.U32(1)),
		build.Full("stsz", build.U32(0), count, sizes),
		build.Full("stco", build.U32(1), build.U32(at)))
	track := build.MP4("trak", build.Full("tkhd", build.U32(0), build.U32(0), build.U32(9), build.U32(0), frames,
		make([]byte, 60)),
		build.MP4("mdia", build.Full("mdhd", build.U32(0), build.U32(0), build.U32(25), frames, build.U32(0)),
			build.Handler("meta"), build.MP4("minf", table)))
	return build.Join(file[:moovAt], build.MP4("mdat", samples...), build.MP4("moov", file[moovAt+8:], track))
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
		<LtcChange frameCount="0" value="17305719" status="increment"/></LtcChangeTable>
	<VideoFormat><VideoFrame videoCodec="AVC" captureFps="25p" formatFps="25p"/></VideoFormat>
	<Device manufacturer="Sony" modelName="ILME-FX3" serialNo="4294967295"/>
	<AcquisitionRecord><Group name="CameraUnitMetadataSet">
		<Item name="CaptureGammaEquation" value="%s"/>
		<Item name="CaptureColorPrimaries" value="%s"/>
		<Item name="CodingEquations" value="rec709"/>
	</Group></AcquisitionRecord>
</NonRealTimeMeta>`, gamma, gamut)
}

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
