package decode

import (
	"encoding/binary"
	"unsafe"
)

// planesOf gives a decoded picture's components as planes of 16-bit samples. Where its rows
// are such samples already they are read in place and buffer is nil. Else (8-bit samples,
// interleaved components, big-endian words, rows stored upwards) the samples are spread into a
// buffer taken from the pool: the same values, in another arrangement.
func planesOf(p rawPicture, pf pixelFormat, pool *bufferPool) (planes [3]Plane, buffer []uint16) {
	inPlace := pf.inPlace
	for _, c := range pf.components {
		inPlace = inPlace && p.linesize[c.plane] > 0 && p.linesize[c.plane]%2 == 0 && uintptr(p.data[c.plane])%2 == 0
	}
	if inPlace {
		for i, c := range pf.components {
			w, h := pf.size(i, p.width, p.height)
			stride := p.linesize[c.plane] / 2
			samples := unsafe.Slice((*uint16)(p.data[c.plane]), stride*(h-1)+w)
			planes[i] = Plane{Samples: samples, Stride: stride, Width: w, Height: h}
		}
		return planes, nil
	}
	total := 0
	for i := range pf.components {
		w, h := pf.size(i, p.width, p.height)
		total += w * h
	}
	buffer = pool.take(total)
	rest := buffer
	for i, c := range pf.components {
		w, h := pf.size(i, p.width, p.height)
		planes[i] = Plane{Samples: rest[: w*h : w*h], Stride: w, Width: w, Height: h}
		rest = rest[w*h:]
		for y := range h {
			row := unsafe.Add(p.data[c.plane], y*p.linesize[c.plane])
			bytes := (w-1)*c.step + c.offset + c.wordBytes()
			c.spread(planes[i].Row(y), unsafe.Slice((*byte)(row), bytes), pf.bigEndian)
		}
	}
	return planes, buffer
}

// wordBytes returns how many bytes hold one sample and the bits below it.
func (c component) wordBytes() int {
	switch bits := c.depth + c.shift; {
	case bits <= 8:
		return 1
	case bits <= 16:
		return 2
	}
	return 4
}

// spread copies one component of a row, as FFmpeg's pixel descriptors define it
// (libavutil/pixdesc.h, AVComponentDescriptor).
func (c component) spread(to []uint16, from []byte, bigEndian bool) {
	var order binary.ByteOrder = binary.LittleEndian
	if bigEndian {
		order = binary.BigEndian
	}
	mask := uint32(1)<<c.depth - 1
	from = from[c.offset:]
	switch {
	case c.wordBytes() == 1 && c.step == 1 && c.shift == 0:
		for i, b := range from[:len(to)] {
			to[i] = uint16(b)
		}
	case c.wordBytes() == 1:
		for i := range to {
			to[i] = uint16(uint32(from[i*c.step]) >> c.shift & mask)
		}
	case c.wordBytes() == 2 && bigEndian:
		for i := range to {
			to[i] = uint16(uint32(binary.BigEndian.Uint16(from[i*c.step:])) >> c.shift & mask)
		}
	case c.wordBytes() == 2:
		for i := range to {
			to[i] = uint16(uint32(binary.LittleEndian.Uint16(from[i*c.step:])) >> c.shift & mask)
		}
	default:
		for i := range to {
			to[i] = uint16(order.Uint32(from[i*c.step:]) >> c.shift & mask)
		}
	}
}
