package container

import "encoding/binary"

// addColour reads the body of a colr box: nclx (ISO/IEC 14496-12, 12.1.5) has a flag for full
// range, nclc (QuickTime) has none; profiles are passed over.
func (in *Found) addColour(p []byte) {
	if len(p) < 10 {
		return
	}
	c := Colour{
		Primaries: int(binary.BigEndian.Uint16(p[4:])),
		Transfer:  int(binary.BigEndian.Uint16(p[6:])),
		Matrix:    int(binary.BigEndian.Uint16(p[8:])),
	}
	switch kind := string(p[:4]); {
	case kind == "nclx" && len(p) >= 11:
		c.Range = "narrow"
		if p[10]&0x80 != 0 {
			c.Range = "full"
		}
	case kind != "nclc":
		return
	}
	in.Colours = append(in.Colours, c)
}
