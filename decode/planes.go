package decode

/*
#cgo CFLAGS: -O3
#include "samples.h"
*/
import "C"

import (
	"encoding/binary"
	"sync"
	"unsafe"
)

// planesOf gives a decoded picture's components as planes of 16-bit samples. Where its rows
// are such samples already they are read in place and buffer is nil. Else (8-bit samples,
// interleaved components, big-endian words, rows stored upwards) the samples are spread into a
// buffer taken from the pool: the same values, in another arrangement. The error is errNoMemory.
func planesOf(p rawPicture, pf pixelFormat, pool *bufferPool) (planes [3]Plane, buffer []uint16, err error) {
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
		return planes, nil, nil
	}
	total := 0
	for i := range pf.components {
		w, h := pf.size(i, p.width, p.height)
		total += w * h
	}
	if buffer = pool.take(total); buffer == nil {
		return planes, nil, errNoMemory
	}
	rest := buffer
	for i, c := range pf.components {
		w, h := pf.size(i, p.width, p.height)
		planes[i] = Plane{Samples: rest[: w*h : w*h], Stride: w, Width: w, Height: h}
		rest = rest[w*h:]
		if c.isByte() {
			C.widen((*C.uint16_t)(&planes[i].Samples[0]), (*C.uint8_t)(unsafe.Add(p.data[c.plane], c.offset)),
				C.ptrdiff_t(p.linesize[c.plane]), C.int(w), C.int(h))
			continue
		}
		for y := range h {
			row := unsafe.Add(p.data[c.plane], y*p.linesize[c.plane])
			bytes := (w-1)*c.step + c.offset + c.wordBytes()
			c.spread(planes[i].Row(y), unsafe.Slice((*byte)(row), bytes), pf.bigEndian)
		}
	}
	return planes, buffer, nil
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

// isByte tells whether samples are bytes without anything between them.
func (c component) isByte() bool { return c.depth == 8 && c.shift == 0 && c.step == 1 }

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

// A bufferPool lends the buffers into which samples are spread, so that a clip is read with no more of them than
// frames are kept at a time, however long it is: memory that is new costs as much as spreading samples into it.
type bufferPool struct {
	mu     sync.Mutex
	idle   [][]uint16
	closed bool // nobody will take another
}

// mostIdle is how many samples idle buffers hold at most: those of two frames of 7680 x 4320 in 4:2:0.
const mostIdle = 3 * 7680 * 4320

// take lends a buffer, nil where there is no memory for it.
func (p *bufferPool) take(samples int) []uint16 {
	p.mu.Lock()
	defer p.mu.Unlock()
	if n := len(p.idle); n > 0 {
		buffer := p.idle[n-1]
		if p.idle = p.idle[:n-1]; len(buffer) == samples {
			return buffer
		}
		freeSamples(buffer)
	}
	return newSamples(samples)
}

// give takes a buffer back, once, when nothing refers to it any more.
func (p *bufferPool) give(buffer []uint16) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || (len(p.idle)+1)*len(buffer) > mostIdle {
		freeSamples(buffer)
		return
	}
	p.idle = append(p.idle, buffer)
}

// close frees what is idle; what is lent is freed when it comes back.
func (p *bufferPool) close() {
	p.drain()
	p.mu.Lock()
	defer p.mu.Unlock()
	p.closed = true
}

// drain frees what is idle.
func (p *bufferPool) drain() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, buffer := range p.idle {
		freeSamples(buffer)
	}
	p.idle = nil
}

// withinDepth reports whether no sample has more bits than the format says. Damaged streams, and
// uncompressed ones, can hold such; they must not reach tables of 2^bits entries.
func withinDepth(planes [3]Plane, bits int) bool {
	if bits >= 16 {
		return true
	}
	var all C.uint16_t
	for _, p := range planes {
		if len(p.Samples) > 0 {
			all |= C.bits_of((*C.uint16_t)(&p.Samples[0]), C.ptrdiff_t(p.Stride), C.int(p.Width), C.int(p.Height))
		}
	}
	return all>>bits == 0
}
