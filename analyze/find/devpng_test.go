package find

import (
	"image"
	"image/color"
	"image/png"
	"math/rand"
	"os"
	"strconv"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

func savePNG(name string, l *level, m *flatMap, quads ...quad) {
	img := image.NewRGBA(image.Rect(0, 0, l.w, 2*l.h))
	for y := range l.h {
		for x := range l.w {
			i := y*l.w + x
			r, b := l.y[i]+l.v[i], l.y[i]+l.u[i]
			g := float64(l.y[i]) - (0.2126*float64(l.v[i])+0.0722*float64(l.u[i]))/0.7152
			c := func(v float64) uint8 { return uint8(min(max(v/16, 0), 255)) }
			img.Set(x, y, color.RGBA{c(float64(r)), c(g), c(float64(b)), 255})
		}
	}
	if m != nil {
		for _, b := range m.blobs {
			c := color.RGBA{uint8(rand.Intn(200) + 55), uint8(rand.Intn(200) + 55), uint8(rand.Intn(200) + 55), 255}
			for _, r := range m.runs[b.first:b.last] {
				for x := r.x0; x < r.x1; x++ {
					img.Set(int(x), int(r.y)+l.h, c)
				}
			}
		}
	}
	for _, q := range quads {
		for i := range q {
			for t := 0.0; t < 1; t += 0.002 {
				p := mix(q[i], q[(i+1)%4], t)
				img.Set(int(p.X), int(p.Y), color.RGBA{255, 0, 0, 255})
			}
		}
	}
	f, _ := os.Create("/tmp/find/" + name + ".png")
	png.Encode(f, img)
	f.Close()
}

func devDump(t *testing.T, name string, f *decode.Frame, r curve.Reading, mx curve.Matrix, quads ...quad) {
	levels := pyramid(f, r, mx, 2)
	tones := newToneTable(r)
	mt := newMeter(f, r, mx, 0)
	sr := &search{tones: tones, matrix: mx, levels: levels}
	sr.run(false)
	for _, p := range sr.cards {
		v, ok := p.view(levels, sr.limits, tones)
		if !ok {
			continue
		}
		l := p.flat.level
		c := readCard(mt, &v, Options{}.withDefaults(l.w*2))
		br := brighterShare(levels[len(levels)-1], tones, r.CodeOf(c.Light.Luma)*signalScale(r.Bits), clearlyBrighter)
		conf := v.shape() * likeCard(c.Light, sr.cast, br)
		if conf > 0.05 || quads != nil && alike(v.quad, quads[0]) {
			t.Logf("%s L%.0f/%.0f %.0f conf %.2f shape %.2f sides %.2f/%d sharp %.2f corners %d carried %d filled %.2f rough %.1f tex %.3f slope %.2f neut %.2f stops %.2f share %.4f sib %d/%d/%d around %.2f bright %.4f", name, l.scale, p.flat.rim, v.quad, conf, v.shape(), v.sides, v.strong, v.sharp, v.corners, v.carried, v.filled, v.rough, v.texture, v.slope, neutrality(c.Light.tone(), sr.cast), c.Light.Stops(), v.share, v.siblings, v.twins, v.company, v.around, br)
		}
	}
	for i, l := range levels {
		var qs []quad
		for _, q := range quads {
			qs = append(qs, q.times(1/l.scale))
		}
		rr := roughnessOf(l)
		savePNG(name+strconv.Itoa(i), l, flatMapOf(l, rr.times(3), leastPatchArea, 0), qs...)
	}
}

func TestDevPNG(t *testing.T) {
	seed, _ := strconv.Atoi(os.Getenv("SEED"))
	var p posed
	if os.Getenv("EMPTY") != "" {
		p = cached("empty", uint64(seed), emptyScene)
	} else if os.Getenv("CARD") != "" {
		p = cached("card", uint64(seed), posedCard)
	} else {
		p = cached("chart", uint64(seed), func(s uint64) posed { return posedChart(s, false) })
	}
	devDump(t, "dev", p.frame, p.reading, p.matrix, p.corners)
}

func TestDevReal(t *testing.T) {
	for _, name := range []string{"charts/IMG_20140613_203444.jpg", "charts/IMG_20140613_203507.jpg", "charts/IMG_20140613_203518.jpg", "negatives/trees_S30.jpg", "faces/man_on_bench_T3i.jpg", "negatives/butterfly_DX4330.jpg", "negatives/daisy_Coolpix775.jpg", "faces/group_A70.jpg", "faces/pigo_sample.jpg"} {
		f, r, mx := jpegFrame(t, name)
		fs := Look(f, r, mx, Options{SkipFaces: true})
		for _, c := range fs.Charts {
			t.Logf("%s CHART %.2f x=%.3f %.0f line %+v stops %.2f", name, c.Confidence, c.Explained, c.Corners, c.Line, c.Stops)
			if c.Doubt != nil {
				t.Logf("%v", c.Doubt.Kind)
			}
		}
		for _, c := range fs.Cards {
			t.Logf("%s CARD %.2f %.0f", name, c.Confidence, c.Corners)
		}
		if os.Getenv("V") != "" {
			devDump(t, "x", f, r, mx)
		}
	}
}

func TestDevCorners(t *testing.T) {
	seed, _ := strconv.Atoi(os.Getenv("SEED"))
	p := cached("chart", uint64(seed), func(s uint64) posed { return posedChart(s, false) })
	b := p.corners.bounds()
	t.Logf("CROP %d:%d:%d:%d", b.Dx()/2+10, b.Dy()/2+10, b.Min.X/2-5, b.Min.Y/2-5)
}
