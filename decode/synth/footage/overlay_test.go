package footage

import (
	"strings"
	"testing"
)

// pictured writes an image as rows of dots: '#' of a code, '.' of 0, '?' of anything else.
func pictured(m *Image, c int, code float32) (lines []string) {
	for y := range m.Height {
		var line strings.Builder
		for _, v := range m.Row(c, y) {
			switch v {
			case code:
				line.WriteByte('#')
			case 0:
				line.WriteByte('.')
			default:
				line.WriteByte('?')
			}
		}
		lines = append(lines, line.String())
	}
	return lines
}

// same compares a picture in all channels with lines.
func same(t *testing.T, name string, m *Image, code float32, want ...string) {
	t.Helper()
	for c := range m.Planes {
		if got := pictured(m, c, code); strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%s, channel %d:\n%s\nwant\n%s", name, c, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// Mattes fill whole rows at both ends with a code of the file's depth.
func TestMatte(t *testing.T) {
	m := NewImage(4, 6)
	Matte{Rows: 2, Code: 64}.lay(m, 9, 4)
	same(t, "matte", m, 256, "####", "####", "....", "....", "####", "####")
	m = NewImage(4, 3)
	Matte{Rows: 0, Code: 64}.lay(m, 0, 1)
	same(t, "no matte", m, 64, "....", "....", "....")
	Matte{Rows: 9, Code: 64}.lay(m, 0, 1)
	same(t, "all matte", m, 64, "####", "####", "####")
}

// A logo is a square whose edges are a quarter of it, where it is told to be, in every frame; what
// would lie outside is left out.
func TestLogo(t *testing.T) {
	for _, frame := range []int{0, 77} {
		m := NewImage(11, 9)
		Logo{X: 2, Y: 1, Size: 8, Code: 940}.lay(m, frame, 1)
		same(t, "logo", m, 940,
			"...........", "..########.", "..########.", "..##....##.", "..##....##.", "..##....##.", "..##....##.",
			"..########.", "..########.")
	}
	m := NewImage(5, 4)
	Logo{X: 2, Y: -1, Size: 4, Code: 500}.lay(m, 0, 2)
	same(t, "logo over the border", m, 1000, "..#..", "..#..", "..###", ".....")
}

// The number of the frame is written in four digits, each of which can be told from the others.
func TestText(t *testing.T) {
	m := NewImage(18, 7)
	Text{X: 1, Y: 1, Dot: 1, Code: 800}.lay(m, 5894, 1)
	same(t, "frame 5894", m, 800,
		"..................",
		".###.###.###.#.#..",
		".#...#.#.#.#.#.#..",
		".###.###.###.###..",
		"...#.#.#...#...#..",
		".###.###.###...#..",
		"..................")
	seen := map[string]int{}
	for digit := range 10 {
		m := NewImage(16, 5)
		Text{Dot: 1, Code: 1}.lay(m, digit, 1)
		picture := strings.Join(pictured(m, 0, 1), "\n")
		if before, ok := seen[picture]; ok {
			t.Errorf("%d looks like %d", digit, before)
		}
		seen[picture] = digit
	}
}

// Dots are squares of so many pixels.
func TestTextOfLargerDots(t *testing.T) {
	small, large := NewImage(16, 5), NewImage(48, 15)
	Text{Dot: 1, Code: 800}.lay(small, 1938, 1)
	Text{Dot: 3, Code: 800}.lay(large, 1938, 1)
	for y := range 15 {
		for x, v := range large.Row(0, y) {
			if v != small.Row(0, y/3)[x/3] {
				t.Fatalf("dot at (%d, %d) is %g", x, y, v)
			}
		}
	}
}

// Overlays lie over the picture in order and are not in what the next frame is mixed with.
func TestOverlaysDoNotStayInTheCamera(t *testing.T) {
	cam := NewCamera(48, 32, sLog3(t), 5)
	cam.Temporal = 0.8
	shot := Shot{Scene: flat(0.18), Frames: 3, Seed: 2}
	plain := NewReel(cam, shot)
	shot.Overlays = []Overlay{Matte{Rows: 6, Code: 64}, Logo{X: 4, Y: 2, Size: 8, Code: 940},
		Text{X: 4, Y: 12, Dot: 2, Code: 800}}
	laid := NewReel(cam, shot)
	for range 3 {
		p, q := plain.Next(), laid.Next()
		if q.Row(0, 0)[0] != 64 || q.Row(0, 2)[4] != 940 {
			t.Errorf("matte %d, logo %d", q.Row(0, 0)[0], q.Row(0, 2)[4])
		}
		// Right of the text nothing lies over the picture, chroma's filter of a few pixels aside.
		for y := 8; y < 24; y++ {
			if !equal(p.Row(0, y)[40:], q.Row(0, y)[40:]) {
				t.Fatalf("row %d differs beside the overlays", y)
			}
		}
	}
	if plain.process.before.Planes[0][0] != laid.process.before.Planes[0][0] {
		t.Error("the matte went into the frame that noise reduction looks back at")
	}
}
