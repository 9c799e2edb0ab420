package decode

import (
	"bytes"
	"errors"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// rawFrame decodes one packet of rawvideo.
func rawFrame(t *testing.T, pf astiav.PixelFormat, width, height int, content []byte) *Frame {
	t.Helper()
	p := astiav.AllocCodecParameters()
	defer p.Free()
	p.SetMediaType(astiav.MediaTypeVideo)
	p.SetCodecID(astiav.CodecIDRawvideo)
	p.SetWidth(width)
	p.SetHeight(height)
	p.SetPixelFormat(pf)
	decoder, err := newDecoder(p, 1)
	if err != nil {
		t.Fatal(err)
	}
	packet, frame := astiav.AllocPacket(), astiav.AllocFrame()
	t.Cleanup(func() { frame.Free(); packet.Free(); decoder.Free() })
	if err := packet.FromData(content); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(decoder.SendPacket(packet), decoder.ReceiveFrame(frame)); err != nil {
		t.Fatal(err)
	}
	format, err := readable(frame.PixelFormat())
	if err != nil {
		t.Fatal(err)
	}
	f := &Frame{Layout: format.layout, Bits: format.bits}
	if f.Planes, _, err = planesOf(rawPictureOf(frame), format, &bufferPool{}); err != nil {
		t.Fatal(err)
	}
	return f
}

// TestPixelFormats reads random samples in formats that decoders may give, and compares them
// with what FFmpeg's scaler makes of them in the planar format of the same samples: between
// these pairs it only moves samples.
func TestPixelFormats(t *testing.T) {
	const width, height = 38, 6
	planar := map[string]string{
		"yuv420p10be": "yuv420p10le", "yuv422p12be": "yuv422p12le", "gray12be": "gray12le",
		"p010le": "yuv420p10le", "p010be": "yuv420p10le", "p210le": "yuv422p10le", "p016le": "yuv420p16le",
		"y210le": "yuv422p10le", "nv12": "yuv420p", "nv21": "yuv420p",
		"uyvy422": "yuv422p", "yuyv422": "yuv422p", "yuva422p10le": "yuv422p10le", "yuva444p12le": "yuv444p12le",
		"rgb24": "gbrp", "bgr24": "gbrp", "argb": "gbrp", "0rgb": "gbrp",
		"rgb48le": "gbrp16le", "rgb48be": "gbrp16le", "bgr48le": "gbrp16le",
		"gbrp10be": "gbrp10le",
	}
	var moved []conversion // of raw samples to planes
	formats := slices.Sorted(maps.Keys(planar))
	raw := validSamples(t, formats, width, height)
	for i, format := range formats {
		moved = append(moved, conversion{format, planar[format], raw[i]})
	}
	for i, want := range converted(t, width, height, moved) {
		m := moved[i]
		got := rawBytes(rawFrame(t, astiav.FindPixelFormatByName(m.from), width, height, m.samples),
			m.to[len(m.to)-1] == 'p')
		if !bytes.Equal(got, want) {
			t.Errorf("samples of %s differ from %s\ngot  % x\nwant % x", m.from, m.to, got[:32], want[:32])
		}
	}
}

// A conversion is of one picture's samples from a pixel format to another.
type conversion struct {
	from, to string
	samples  []byte
}

// converted has FFmpeg's scaler convert pictures, all by one run of its program.
func converted(t *testing.T, width, height int, all []conversion) (made [][]byte) {
	t.Helper()
	var args, outputs []string
	folder, size := t.TempDir(), strconv.Itoa(width)+"x"+strconv.Itoa(height)
	for i, c := range all {
		from, to := filepath.Join(folder, strconv.Itoa(i)), filepath.Join(folder, strconv.Itoa(i)+".out")
		if err := os.WriteFile(from, c.samples, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, "-f", "rawvideo", "-pix_fmt", c.from, "-s", size, "-i", from)
		outputs = append(outputs, "-map", strconv.Itoa(i), "-f", "rawvideo", "-pix_fmt", c.to, to)
	}
	ffmpeg(t, append(args, outputs...)...)
	for i := range all {
		content, err := os.ReadFile(filepath.Join(folder, strconv.Itoa(i)+".out"))
		if err != nil {
			t.Fatal(err)
		}
		made = append(made, content)
	}
	return made
}

func randomBytes(n int) []byte {
	rng := rand.New(rand.NewPCG(3, 4))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rng.Uint32())
	}
	return b
}

// validSamples makes a picture of random samples of each format: where it has fewer bits than its words,
// the unused ones are zero.
func validSamples(t *testing.T, formats []string, width, height int) [][]byte {
	t.Helper()
	var all []conversion
	for _, format := range formats {
		c := conversion{"gbrp16le", format, randomBytes(width * height * 6)}
		if d, _ := describe(astiav.FindPixelFormatByName(format)); !d.rgb {
			c.from = "yuv444p16le"
		}
		if format == "y210le" { // which the scaler reads and does not write
			c = conversion{format, format, c.samples[:width*height*4]}
			for i := 0; i < len(c.samples); i += 2 {
				c.samples[i] &= 0xc0
			}
		}
		all = append(all, c)
	}
	return converted(t, width, height, all)
}

// TestAlphaIsPassedOver reads planes of a format with alpha, which the scaler would multiply in.
func TestAlphaIsPassedOver(t *testing.T) {
	const width, height = 38, 6
	raw := randomBytes(width * height * 2 * 4)
	f := rawFrame(t, astiav.FindPixelFormatByName("gbrap16le"), width, height, bytes.Clone(raw))
	if !bytes.Equal(rawBytes(f, false), raw[:width*height*2*3]) {
		t.Error("the planes are not those of the file")
	}
}

// TestX2RGB10 reads a packed word laid out by hand (libavutil/pixfmt.h: 2 unused bits, then R,
// G, B of 10 bits each, in a 32-bit word), which the scaler does not unpack without arithmetic.
func TestX2RGB10(t *testing.T) {
	f := rawFrame(t, astiav.FindPixelFormatByName("x2rgb10le"), 2, 1,
		[]byte{0x01, 0xf8, 0xbf, 0x2a, 0xff, 0x03, 0x00, 0xc0})
	// 0x2abff801 = 00 1010101011 1111111110 0000000001; 0xc00003ff = 11 0000000000 0000000000 1111111111
	for i, want := range [][]uint16{{0b1010101011, 0}, {0b1111111110, 0}, {1, 1023}} {
		if got := f.Planes[i].Row(0); !slices.Equal(got, want) {
			t.Errorf("component %d is %v, want %v", i, got, want)
		}
	}
}

// TestReadable goes through all of FFmpeg's pixel formats.
func TestReadable(t *testing.T) {
	refused := []string{"pal8", "monow", "monob", "rgb565le", "rgb555be", "bgr8", "rgb4", "grayf32le", "gbrpf32le",
		"gbrapf32be", "bayer_rggb16le",
		"yuv411p", "yuv410p", "uyyvyy411", "yuv440p", "yuv440p10le", "xyz12le", "vaapi", "yuvj411p", "yuvj440p"}
	accepted := 0
	for pf := range astiav.PixelFormatNb {
		p, err := readable(pf)
		d, known := describe(pf)
		switch {
		case err == nil:
			accepted++
			if p.bits < 8 || p.bits > 16 || (len(p.components) != 1 &&
				len(p.components) != 3) || (p.layout == Gray) != (len(p.components) == 1) {
				t.Errorf("%s: %+v", d.name, p)
			}
		case known && !errors.Is(err, ErrUnsupported), !known && !errors.Is(err, ErrDamaged):
			t.Errorf("%s: %v", d.name, err)
		}
		if known && slices.Contains(refused, d.name) && err == nil {
			t.Errorf("%s is read", d.name)
		}
	}
	if accepted < 100 {
		t.Errorf("only %d formats are read", accepted)
	}
	if _, err := readable(astiav.PixelFormatNone); !errors.Is(err, ErrDamaged) {
		t.Errorf("no format: %v", err)
	}
}

// TestRowsStoredUpwards reads pictures whose rows lie in memory from bottom to top.
func TestRowsStoredUpwards(t *testing.T) {
	for _, name := range []string{"gray10le", "gray"} {
		format, err := readable(astiav.FindPixelFormatByName(name))
		if err != nil {
			t.Fatal(err)
		}
		wide := format.components[0].step
		memory := make([]byte, 3*8*wide) // three rows of eight samples, five in use
		for i := range memory {
			memory[i] = 0xff // whatever is read beside the picture shows
		}
		for y := range 3 {
			for x := range 5 {
				at := memory[(2-y)*8*wide+x*wide:]
				at[0], at[wide-1] = 0, 0
				at[0] = byte(10*y + x)
			}
		}
		p := rawPicture{width: 5, height: 3, format: astiav.FindPixelFormatByName(name)}
		p.data[0], p.linesize[0] = unsafe.Pointer(&memory[2*8*wide]), -8*wide
		planes, buffer, err := planesOf(p, format, &bufferPool{})
		if buffer == nil || err != nil {
			t.Error("read in place, or", err)
		}
		for y := range 3 {
			for x, v := range planes[0].Row(y) {
				if v != uint16(10*y+x) {
					t.Errorf("%s: sample %d of row %d is %d", name, x, y, v)
				}
			}
		}
	}
}

// TestInPlace proves that the usual formats are not copied, and which are.
func TestInPlace(t *testing.T) {
	for name, inPlace := range map[string]bool{
		"yuv420p10le": true, "yuv422p10le": true, "yuv444p12le": true, "yuva444p12le": true, "gbrp16le": true,
		"gray14le": true, "yuv422p9le": true,
		"yuv420p": false, "gray": false, "yuv422p10be": false, "p010le": false, "rgb48le": false,
	} {
		format, err := readable(astiav.FindPixelFormatByName(name))
		if err != nil || format.inPlace != inPlace {
			t.Errorf("%s: in place is %v, %v", name, format.inPlace, err)
		}
	}
}

func TestBounded(t *testing.T) {
	for _, c := range []struct {
		width, height int
		ok            bool
	}{{1, 1, true}, {8192, 8192, true}, {16384, 4096, true}, {16385, 1, false}, {1, 16385, false}, {8192, 8193,
		false}, {0, 1, false}, {1, -1, false}, {1 << 31, 1 << 31, false}} {
		if err := bounded(c.width, c.height); (err == nil) != c.ok || (err != nil && !errors.Is(err, ErrUnsupported)) {
			t.Errorf("%dx%d: %v", c.width, c.height, err)
		}
	}
}
