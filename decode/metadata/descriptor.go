package metadata

import (
	"encoding/binary"

	"stopledger/decode/metadata/container"
)

// fromDescriptor reads a picture descriptor. A label that names a camera's log curve is a
// statement of the camera; HLG and PQ are colour tags; other public labels are what every writer
// puts there and say nothing.
func (n *notes) fromDescriptor(d container.Items) {
	f := frame{}
	const where = "MXF picture descriptor"
	f.colour(d, 0x3210, 0x3219, where)
	for _, p := range f.problems {
		n.problemf("%s", p)
	}
	for _, u := range f.unknown {
		n.unknownf("%s", u)
	}
	if f.gamma != nil {
		n.descriptorGamma(*f.gamma)
	}
	n.camera.fill(f.camera)
	if n.levels == nil {
		n.levels = levelsOf(d)
	}
}

func (n *notes) descriptorGamma(g labelItem) {
	m := gammaOf(g.label)
	v, _ := labelValue(g.label)
	_, public := publicGammas[v]
	cameraLog := v[5] >= 0x0E && v[5] <= 0x11 // ST 2115
	switch {
	case !public || cameraLog:
		n.claim(m, OriginDescriptor, g.where, g.label.String())
	case m.curve == "HLG" || m.curve == "PQ":
		n.claim(m, OriginTransfer, g.where, g.label.String())
	}
}

// levelsOf reads how codes are laid out: narrow is 16, 235 and 225 at 8 bits, scaled to the depth;
// full is 0, the top code, and the top code or the number of codes.
func levelsOf(it container.Items) *Levels {
	var l Levels
	have := false
	for _, f := range []struct {
		tag uint16
		to  *int
	}{{0x3301, &l.Bits}, {0x3304, &l.Black}, {0x3305, &l.White}, {0x3306, &l.Range}} {
		if p := it[f.tag]; len(p) == 4 {
			*f.to, have = int(binary.BigEndian.Uint32(p)), true
		}
	}
	if !have {
		return nil
	}
	if l.Bits >= 8 && l.Bits <= 16 {
		scale, top := 1<<(l.Bits-8), 1<<l.Bits-1
		switch {
		case l.Black == 16*scale && l.White == 235*scale && l.Range == 224*scale+1:
			l.Value = "narrow"
		case l.Black == 0 && l.White == top && (l.Range == top || l.Range == top+1):
			l.Value = "full"
		}
	}
	return &l
}
