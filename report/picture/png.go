package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/png"
)

// asPNG encodes a picture without loss.
func asPNG(img image.Image) ([]byte, error) {
	switch m := img.(type) {
	case *image.Gray16:
		const grey, bits = 0, 16
		return pngOf(m.Bounds().Size(), bits, grey, func(y int) []byte {
			return m.Pix[y*m.Stride : y*m.Stride+2*m.Rect.Dx()]
		})
	case *image.RGBA:
		if m.Opaque() {
			const colour, bits = 2, 8
			return pngOf(m.Bounds().Size(), bits, colour, opaqueRows(m))
		}
	}
	var data bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&data, img)
	return data.Bytes(), err
}

// opaqueRows returns the rows of a picture without its alpha, each good until the next.
func opaqueRows(m *image.RGBA) func(y int) []byte {
	row := make([]byte, 3*m.Rect.Dx())
	return func(y int) []byte {
		from := m.Pix[y*m.Stride:]
		for x := range m.Rect.Dx() {
			copy(row[3*x:3*x+3], from[4*x:4*x+3])
		}
		return row
	}
}

// pngOf makes a PNG file (W3C Portable Network Graphics, third edition, sections 5 to 10), all of whose rows have
// the Paeth filter.
func pngOf(size image.Point, bits, colour byte, row func(y int) []byte) ([]byte, error) {
	if size.X < 1 || size.Y < 1 {
		return nil, errors.New("a picture without pixels")
	}
	head := binary.BigEndian.AppendUint32(nil, uint32(size.X))
	head = binary.BigEndian.AppendUint32(head, uint32(size.Y))
	head = append(head, bits, colour, 0, 0, 0)
	samples := map[byte]int{0: 1, 2: 3}[colour]
	step := samples * int(bits) / 8 // bytes of a pixel
	above, lines := make([]byte, size.X*step), make([]byte, size.Y*(1+size.X*step))
	for y := range size.Y {
		now, line := row(y), lines[y*(1+len(above)):]
		line[0] = 4 // Paeth
		paeth(line[1:1+len(above)], now, above, step)
		copy(above, now)
	}
	out := chunk([]byte("\x89PNG\r\n\x1a\n"), "IHDR", head)
	out = chunk(out, "IDAT", deflated(lines, levelFor(lines)))
	return chunk(out, "IEND", nil), nil
}

// levelFor returns how to compress what is left of a picture. In noise nothing repeats, and looking for it takes
// ten times as long as all the rest: how often values occur is all that there is to find. An eighth of it tells.
func levelFor(lines []byte) int {
	middle := lines[len(lines)*7/16 : len(lines)*9/16]
	if len(deflated(middle, zlib.BestSpeed)) < len(deflated(middle, zlib.HuffmanOnly)) {
		return zlib.DefaultCompression
	}
	return zlib.HuffmanOnly
}

// deflated returns bytes in the zlib format (RFC 1950).
func deflated(data []byte, level int) []byte {
	var out bytes.Buffer
	w, _ := zlib.NewWriterLevel(&out, level)
	w.Write(data) // into memory: cannot fail
	w.Close()
	return out.Bytes()
}

// chunk adds a chunk to a file: its length, type, data and check sum.
func chunk(file []byte, kind string, data []byte) []byte {
	file = binary.BigEndian.AppendUint32(file, uint32(len(data)))
	from := len(file)
	file = append(append(file, kind...), data...)
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(file[from:]))
}

// paeth writes what a row's bytes differ by from the nearest of those to the left, above and above left, by
// left + above - above left; step is the bytes of a pixel.
func paeth(to, row, above []byte, step int) {
	for i := range min(step, len(row)) {
		to[i] = row[i] - above[i]
	}
	for i := step; i < len(row); i++ {
		a, b, c := int(row[i-step]), int(above[i]), int(above[i-step])
		left, up := b-c, a-c // how far the guess a + b - c lies from a, and from b
		corner := left + up
		nearest := c
		if left, up, corner = max(left, -left), max(up, -up), max(corner, -corner); left <= up && left <= corner {
			nearest = a
		} else if up <= corner {
			nearest = b
		}
		to[i] = row[i] - byte(nearest)
	}
}
