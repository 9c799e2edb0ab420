package build

import (
	"fmt"
	"unicode/utf16"
)

// NonRealTime returns clip metadata with one gamma and one set of primaries.
func NonRealTime(gamma, primaries string) []byte {
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<NonRealTimeMeta xmlns="urn:schemas-professionalDisc:nonRealTimeMeta:ver.2.00">
 <LtcChangeTable tcFps="25"><LtcChange frameCount="0" value="52596317" status="increment"/></LtcChangeTable>
 <VideoFormat><VideoFrame captureFps="59.94p" formatFps="25p"/></VideoFormat>
 <Device manufacturer="Maker" modelName="ILME-T1" serialNo="0012"/><Lens modelName="FE 35"/>
 <AcquisitionRecord><Group name="CameraUnitMetadataSet">
  <Item name="CaptureGammaEquation" value="%s"/><Item name="CaptureColorPrimaries" value="%s"/>
  <Item name="CodingEquations" value="rec709"/>
 </Group></AcquisitionRecord>
</NonRealTimeMeta>`, gamma, primaries)
}

// UTF16 returns a text in UTF-16 of either byte order, with or without a mark of it.
func UTF16(s string, little, mark bool) []byte {
	units := utf16.Encode([]rune(s))
	if mark {
		units = append([]uint16{0xFEFF}, units...)
	}
	var p []byte
	for _, u := range units {
		if b := U16(int(u)); little {
			p = append(p, b[1], b[0])
		} else {
			p = append(p, b...)
		}
	}
	return p
}
