package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// FuzzLook: no frame, however small or wild, makes the search panic or tell nonsense.
func FuzzLook(f *testing.F) {
	f.Add(uint64(1), uint16(1), uint16(1), uint8(0))
	f.Add(uint64(2), uint16(200), uint16(3), uint8(1))
	f.Add(uint64(3), uint16(97), uint16(131), uint8(2))
	f.Add(uint64(4), uint16(240), uint16(180), uint8(3))
	f.Add(uint64(5), uint16(100), uint16(100), uint8(4))
	f.Fuzz(func(t *testing.T, seed uint64, width, height uint16, kind uint8) {
		rng := rand.New(rand.NewPCG(seed, 13))
		w, h := 1+int(width)%300, 1+int(height)%300
		layout := []decode.Layout{decode.YCbCr, decode.RGB, decode.Gray}[kind%3]
		frame := randomFrame(rng, layout, 10, w, h, 1+int(kind/3)%2, 1+int(kind/6)%2)
		if kind&64 != 0 { // big blocks instead of noise
			for i := range frame.Planes {
				p := frame.Planes[i]
				for y := range p.Height {
					for x := range p.Width {
						p.Samples[y*p.Stride+x] = p.Samples[y/12*12*p.Stride+x/12*12]
					}
				}
			}
		}
		found := Look(frame, reading(t, "S-Log3"), curve.BT709, Options{RotationDeg: 90 * int(kind%4)})
		for _, d := range found.all() {
			if math.IsNaN(float64(d.Stops)) || !(float64(d.Confidence) >= defaults.Search.Doubtful &&
				d.Confidence <= 1) || d.Region.Empty() {
				t.Errorf("%+v", d)
			}
		}
	})
}

func (f *Findings) all() (d []Detection) {
	for _, c := range f.Charts {
		d = append(d, c.Detection)
	}
	for _, c := range f.Cards {
		d = append(d, c.Detection)
	}
	for _, c := range f.Faces {
		d = append(d, c.Detection)
	}
	return d
}
