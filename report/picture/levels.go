package picture

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"

	"stopledger/analyze/still"
)

// A levels picture is a still.Grid as a 16-bit grey picture without loss: planes one under the other, in
// this order, and rows that hold the light of the codes 0 to 1023. Light and spread are kept as
//
//	LevelsZero + round(LevelsFine asinh(light / LevelsToe))
//
// in which a step is 0.011 stops, and four millionths of white near black.
const (
	LevelsZero = 8192
	LevelsFine = 128.0
	LevelsToe  = 1.0 / 2048
)

// Planes of a levels picture.
const (
	levelsLuma = iota
	levelsR
	levelsG
	levelsB
	levelsSpread
	levelsClipped // bits as they are
	levelsPlanes
)

// spreadStep is what spread is rounded to, of the steps of light: 6 % of it are enough, and weigh less.
const spreadStep = 8

const levelsCodes = 1024 // entries of the curve's table

// Levels are the planes of a levels picture.
type Levels struct {
	Width, Height int
	Planes        [levelsPlanes][]uint16 // luma's light, R, G, B, spread, channels clipped
	Codes         []uint16               // light of the codes 0 to 1023
}

// kept is a light as it is kept; no number is kept as no light.
func kept(light float32) uint16 {
	if math.IsNaN(float64(light)) {
		return LevelsZero
	}
	v := LevelsZero + math.Round(LevelsFine*math.Asinh(float64(light)/LevelsToe))
	return uint16(min(max(v, 0), math.MaxUint16))
}

// Light is the light of a kept value.
func (l *Levels) Light(v uint16) float64 {
	return LevelsToe * math.Sinh((float64(v)-LevelsZero)/LevelsFine)
}

func allKept(lights []float32) []uint16 {
	out := make([]uint16, len(lights))
	for i, light := range lights {
		out[i] = kept(light)
	}
	return out
}

// levelsOf turns a grid as a person sees it.
func levelsOf(g *still.Grid, rotation int) *Levels {
	l := &Levels{Width: g.Width, Height: g.Height, Codes: allKept(g.Light)}
	l.Planes = [levelsPlanes][]uint16{allKept(g.Luma), allKept(g.R), allKept(g.G), allKept(g.B), allKept(g.Spread),
		make([]uint16, len(g.Clipped))}
	for i, v := range l.Planes[levelsSpread] {
		l.Planes[levelsSpread][i] = spreadKept(v)
	}
	for i, clipped := range g.Clipped {
		l.Planes[levelsClipped][i] = uint16(clipped)
	}
	index := turnedIndex(g.Width, g.Height, rotation)
	if index == nil {
		return l
	}
	for k, plane := range l.Planes {
		l.Planes[k] = reordered(plane, index)
	}
	if rotation != 180 {
		l.Width, l.Height = l.Height, l.Width
	}
	return l
}

// codeRows is how many rows the curve's table takes.
func codeRows(width int) int { return (levelsCodes + width - 1) / width }

// picture is the levels as they are written.
func (l *Levels) picture() *image.Gray16 {
	img := image.NewGray16(image.Rect(0, 0, l.Width, levelsPlanes*l.Height+codeRows(l.Width)))
	at := 0
	for _, plane := range append(l.Planes[:], l.Codes) {
		for _, v := range plane {
			img.Pix[at], img.Pix[at+1] = uint8(v>>8), uint8(v)
			at += 2
		}
	}
	return img
}

// ReadLevels returns what a levels picture holds.
func ReadLevels(r io.Reader) (*Levels, error) {
	const most = 1 << 22 // bytes of a file, and pixels
	data, err := io.ReadAll(io.LimitReader(r, most))
	if err != nil {
		return nil, fmt.Errorf("the picture of levels: %w", err)
	}
	head, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the picture of levels: %w", err)
	}
	if head.Width < 1 || head.Height < 1 || head.Width > most/head.Height {
		return nil, fmt.Errorf("the picture of levels has %d x %d pixels", head.Width, head.Height)
	}
	decoded, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the picture of levels: %w", err)
	}
	img, ok := decoded.(*image.Gray16)
	w, rows := head.Width, head.Height-codeRows(head.Width)
	if !ok || rows < levelsPlanes || rows%levelsPlanes != 0 {
		return nil, fmt.Errorf("a picture of %d x %d pixels holds no levels as they are written", w, head.Height)
	}
	l := &Levels{Width: w, Height: rows / levelsPlanes}
	at := 0
	take := func(n int) []uint16 {
		out := make([]uint16, n)
		for i := range out {
			out[i] = uint16(img.Pix[at])<<8 | uint16(img.Pix[at+1])
			at += 2
		}
		return out
	}
	for k := range l.Planes {
		l.Planes[k] = take(l.Width * l.Height)
	}
	l.Codes = take(levelsCodes)
	return l, nil
}

// Packed returns the levels as a page carries them: zlib (RFC 1950) of all high bytes and then all low
// bytes of the planes and the table, each value less the one before it, R, G and B first less luma, all
// modulo 65536.
func (l *Levels) Packed() []byte {
	n := levelsPlanes*l.Width*l.Height + len(l.Codes)
	all := make([]byte, 2*n)
	high, low := all[:0:n], all[n:n]
	for k, plane := range append(l.Planes[:], l.Codes) {
		before := uint16(0)
		for i, v := range plane {
			if k == levelsR || k == levelsG || k == levelsB {
				v -= l.Planes[levelsLuma][i]
			}
			high, low = append(high, uint8((v-before)>>8)), append(low, uint8(v-before))
			before = v
		}
	}
	const level = 4 // the best one gains 1 % on noise, and takes a hundred times as long
	var out bytes.Buffer
	w, _ := zlib.NewWriterLevel(&out, level)
	w.Write(all) // into memory: cannot fail
	w.Close()
	return out.Bytes()
}

// halved returns levels in blocks twice as large, of a picture turned by so many degrees: as coded, its blocks
// still begin at the upper left corner. Those that do not fill a last block are left out.
func (l *Levels) halved(rotation int) *Levels {
	h := &Levels{Width: l.Width / 2, Height: l.Height / 2, Codes: l.Codes}
	x0, y0 := 0, 0 // a turned picture begins with what was last as coded
	if rotation == 90 || rotation == 180 {
		x0 = l.Width % 2
	}
	if rotation == 180 || rotation == 270 {
		y0 = l.Height % 2
	}
	for i := range h.Width * h.Height {
		at := (y0+i/h.Width*2)*l.Width + x0 + i%h.Width*2
		h.add(l, [4]int{at, at + 1, at + l.Width, at + l.Width + 1})
	}
	return h
}

// add adds the block that four of other levels make up.
func (l *Levels) add(from *Levels, four [4]int) {
	var mean [levelsSpread]float64
	var square float64
	var clipped uint16
	for _, i := range four {
		for k := range mean {
			mean[k] += from.Light(from.Planes[k][i]) / 4
		}
		luma, spread := from.Light(from.Planes[levelsLuma][i]), from.Light(from.Planes[levelsSpread][i])
		square += (luma*luma + spread*spread) / 4
		clipped |= from.Planes[levelsClipped][i]
	}
	for k, light := range mean {
		l.Planes[k] = append(l.Planes[k], kept(float32(light)))
	}
	spread := math.Sqrt(max(square-mean[levelsLuma]*mean[levelsLuma], 0))
	l.Planes[levelsSpread] = append(l.Planes[levelsSpread], spreadKept(kept(float32(spread))))
	l.Planes[levelsClipped] = append(l.Planes[levelsClipped], clipped)
}

// spreadKept is a spread, as light is kept, rounded.
func spreadKept(v uint16) uint16 { return (v + spreadStep/2) / spreadStep * spreadStep }
