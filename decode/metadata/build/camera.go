package build

import (
	"encoding/binary"
	"fmt"
	"testing"
)

// Metadata as cameras write it, put into encoded clips: items after the SMPTE metadata registers
// (which cite RDD 18), XML after a camera's own file.

// Labels of 16 bytes in hexadecimal.
const (
	LabelSLog3     = "060E2B34 04010106 0E060401 01010605" // capture gamma, private: S-Gamut3.Cine/S-Log3
	LabelVLog      = "060E2B34 0401010D 04010101 010F0000" // transfer characteristic, public: V-Log
	LabelHLG       = "060E2B34 0401010D 04010101 010B0000" // transfer characteristic, public: HLG
	LabelCameraLog = "060E2B34 0401010D 04010101 010E0000" // the same of the camera log S3 (ST 2115)

	labelManual  = "060E2B34 0401010B 05100101 01010000" // exposure set by hand
	labelGamut3C = "060E2B34 04010106 0E060401 01030105" // primaries, private: S-Gamut3.Cine
)

// FrameSettings is a sample of an rtmd track: 28 bytes of header, the lens's set (F2.8) and the
// camera's set.
func FrameSettings(gamma string, iso int) []byte {
	header := make([]byte, 28)
	header[1] = 28
	copy(header[13:], []byte{10, 2, 30, 0, 12}) // timecode
	lens := KLV("060E2B34 02530101 0C020101 01010000", Item(0x8000, U16(0xD077)),
		Item(0x8005, U16(0xD032)), Item(0x8007, []byte("prime"))) // 50 x 10^-3 m
	camera := KLV("060E2B34 02530101 0C020101 02010000",
		Item(0x3210, Unhex(gamma)), Item(0x3219, Unhex(labelGamut3C)),
		Item(0x8100, Unhex(labelManual)),
		Item(0x8103, U16(4)),                // transmits a quarter
		Item(0x8106, Join(U32(25), U32(1))), // frames a second
		Item(0x8108, U32(180*60)),           // degrees
		Item(0x8109, Join(U32(1), U32(50))), // s
		Item(0x810A, U16(-300)),             // hundredths of a dB
		Item(0x810B, U16(iso)),              //
		Item(0x810E, U16(5600)),             // K
		Item(0x8114, []byte("Model Two 0012345")),
		Item(0x8115, U16(640)),  // exposure index
		Item(0x811F, U16(-315))) // 10^-5 Duv
	return Join(header, lens, camera, make([]byte, 16))
}

// WithTrack returns an MP4 or QuickTime file, whose moov is its last box as FFmpeg writes it,
// with a track of frame settings more.
func WithTrack(t *testing.T, file []byte, samples ...[]byte) []byte {
	t.Helper()
	moovAt := lastBox(t, file, "moov")
	at := moovAt + 8
	var sizes []byte
	for _, s := range samples {
		sizes = append(sizes, U32(len(s))...)
	}
	count, frames := U32(len(samples)), U32(len(samples))
	table := MP4("stbl",
		Full("stsd", U32(1), MP4("rtmd", make([]byte, 6), U16(1))),
		Full("stts", U32(1), count, U32(1)),
		Full("stsc", U32(1), U32(1), count, U32(1)),
		Full("stsz", U32(0), count, sizes),
		Full("stco", U32(1), U32(at)))
	track := MP4("trak", Full("tkhd", U32(0), U32(0), U32(9), U32(0), frames,
		make([]byte, 60)),
		MP4("mdia", Full("mdhd", U32(0), U32(0), U32(25), frames, U32(0)),
			Handler("meta"), MP4("minf", table)))
	return Join(file[:moovAt], MP4("mdat", samples...), MP4("moov", file[moovAt+8:], track))
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

// CameraXML is a camera's document about a clip: layout of a real one of an ILME-FX3, names of
// gamma and gamut put in.
func CameraXML(gamma, gamut string) []byte {
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
