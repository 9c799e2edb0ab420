package container

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/decode/metadata/build"
)

// withAll is a clip of each kind with everything a reader looks for.
func withAll() map[string][]byte {
	sample := build.WorkedSample()
	frames := [][]byte{sample[28:], sample[28:], sample[28:]}
	descriptor := build.CDCI(build.CameraLogS3, 64, 940, 897)
	all := map[string][]byte{
		"boxes": build.Join(build.RTMDClip([][]byte{sample, sample, sample, sample},
			build.VisualTrack(build.MP4("colr", []byte("nclx"), build.U16(9), build.U16(18), build.U16(9), []byte{0})),
			build.Keys(build.TextKey("com.example.gamma", "S-Log3"), build.TextKey("com.example.iso", "800"))),
			build.ClipXML(build.NonRealTime("s-log3", "s-gamut3"))),
	}
	for name, carry := range build.Carriers {
		all[name] = build.Join(build.Partition(build.HeaderPackKey, descriptor), build.ContentPackages(frames, carry, 300))
	}
	return all
}

// TestEveryCut: a clip cut off anywhere is read without a fault, and gives nothing that the whole does not give.
func TestEveryCut(t *testing.T) {
	for name, p := range withAll() {
		whole, err := Read(bytes.NewReader(p), int64(len(p)), "")
		if err != nil || len(whole.Frames) == 0 {
			t.Fatalf("%s: %d frames, %v", name, len(whole.Frames), err)
		}
		for n := 0; n < len(p); n += 1 + n/400 {
			cut, err := Read(bytes.NewReader(p[:n]), int64(n), "")
			if err != nil {
				t.Fatalf("%s cut at %d: %v", name, n, err)
			}
			checkPart(t, name, n, cut, whole)
		}
	}
}

// checkPart checks that what a cut clip gives is a part of the whole; a piece may be cut itself.
func checkPart(t *testing.T, name string, n int, cut, whole *Found) {
	t.Helper()
	for _, f := range cut.Frames {
		if !bytes.HasPrefix(whole.Frames[0].Sets, f.Sets[:min(len(f.Sets), 8)]) {
			t.Errorf("%s cut at %d: a frame of % X", name, n, f.Sets[:min(len(f.Sets), 16)])
		}
	}
	for _, d := range cut.Documents {
		if !slices.ContainsFunc(whole.Documents, func(o Document) bool { return bytes.HasPrefix(o.Data, d.Data) }) {
			t.Errorf("%s cut at %d: a document of %q", name, n, d.Data)
		}
	}
	for _, k := range cut.Keys {
		if !slices.ContainsFunc(whole.Keys, func(o Key) bool { return o.Name == k.Name }) {
			t.Errorf("%s cut at %d: a key %q", name, n, k.Name)
		}
	}
	for _, c := range cut.Colours {
		if !slices.Contains(whole.Colours, c) {
			t.Errorf("%s cut at %d: colour %+v", name, n, c)
		}
	}
	if len(cut.Descriptors) > len(whole.Descriptors) || len(cut.Frames) > len(whole.Frames) {
		t.Errorf("%s cut at %d: %d descriptors, %d frames", name, n, len(cut.Descriptors), len(cut.Frames))
	}
}

// TestFoundWhole: a whole clip gives what was built into it, byte by byte.
func TestFoundWhole(t *testing.T) {
	sets := build.WorkedSample()[28:]
	for name, p := range withAll() {
		in, err := Read(bytes.NewReader(p), int64(len(p)), "")
		if err != nil || len(in.Problems) > 0 {
			t.Errorf("%s: %v, %v", name, err, in.Problems)
		}
		for _, f := range in.Frames {
			if kept := len(bytes.TrimRight(f.Sets, "\x00")); kept == 0 || !bytes.HasPrefix(sets, f.Sets[:kept]) {
				t.Errorf("%s: a frame of %d bytes, % X", name, len(f.Sets), f.Sets[:min(len(f.Sets), 24)])
			}
		}
		if name != "boxes" {
			if len(in.Descriptors) != 1 {
				t.Errorf("%s: %d descriptors", name, len(in.Descriptors))
			}
			continue
		}
		if want := build.NonRealTime("s-log3", "s-gamut3"); len(in.Documents) != 1 ||
			!bytes.Equal(in.Documents[0].Data, want) {
			t.Errorf("documents %+v", in.Documents)
		}
		if want := (Colour{9, 18, 9, "narrow"}); len(in.Colours) != 1 || in.Colours[0] != want {
			t.Errorf("colours %+v, want %+v", in.Colours, want)
		}
		if len(in.Keys) != 2 || in.Keys[0].Name != "com.example.gamma" || in.Keys[1].Name != "com.example.iso" {
			t.Errorf("keys %+v", in.Keys)
		}
	}
}

// TestEveryByteChanged: a clip with any of its bytes changed is read without a fault of the medium, and in bounds.
func TestEveryByteChanged(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 1))
	for name, p := range withAll() {
		for range 3000 {
			q := slices.Clone(p)
			for range 1 + rng.IntN(3) {
				q[rng.IntN(len(q))] = byte(rng.Uint32())
			}
			s := sourceOf(q)
			in := gather(s, "")
			if s.fault != nil || s.left < 0 || len(in.Problems) > MostSentences || len(in.Keys) > maxKeys {
				t.Fatalf("%s: fault %v, %d bytes left, %d problems", name, s.fault, s.left, len(in.Problems))
			}
		}
	}
}

// A failing medium gives its first bytes and then an error.
type failing struct {
	*bytes.Reader
	from int64
}

var errMedium = errors.New("the medium fails")

func (f failing) ReadAt(p []byte, at int64) (int, error) {
	if at+int64(len(p)) > f.from {
		return 0, errMedium
	}
	return f.Reader.ReadAt(p, at)
}

// TestMediumFails: a failure of the medium is told as such, and what was read before it is kept.
func TestMediumFails(t *testing.T) {
	for name, p := range withAll() {
		for _, share := range []int{0, 1, 2, 3} {
			r := failing{bytes.NewReader(p), int64(len(p) * share / 4)}
			in, err := Read(r, int64(len(p)), "")
			if in == nil || err != nil && !errors.Is(err, errMedium) {
				t.Errorf("%s, failing at %d of %d: %v, %v", name, r.from, len(p), in, err)
			}
			if share == 0 && err == nil {
				t.Errorf("%s: nothing can be read, and no error", name)
			}
		}
		if _, err := Read(bytes.NewReader(p[:len(p)/2]), int64(len(p)), ""); err != nil && !errors.Is(err, io.EOF) &&
			!errors.Is(err, io.ErrUnexpectedEOF) {
			t.Errorf("%s, shorter than was said: %v", name, err)
		}
	}
}

// tree is boxes within boxes, random in number and depth, and their kinds in order.
func tree(rng *rand.Rand, depth int) (p []byte, kinds []string) {
	for range 1 + rng.IntN(4) {
		kind := string([]byte{byte('a' + rng.IntN(26)), 'b', 'o', 'x'})
		var body []byte
		if depth > 0 && rng.IntN(2) == 0 {
			body, _ = tree(rng, depth-1)
		}
		if rng.IntN(4) == 0 { // with a size of 64 bits
			p = append(p, build.Join(build.U32(1), []byte(kind), build.U64(16+len(body)), body)...)
		} else {
			p = append(p, build.MP4(kind, body)...)
		}
		kinds = append(kinds, kind)
	}
	return p, kinds
}

// TestRandomBoxes: boxes come back in order and tile the file, whatever they hold.
func TestRandomBoxes(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 2))
	for range 300 {
		p, kinds := tree(rng, 3)
		s := sourceOf(p)
		list := s.boxes(0, int64(len(p)))
		var got []string
		end := int64(0)
		for _, b := range list {
			got = append(got, b.kind)
			if head := b.start - end; head != 8 && head != 16 {
				t.Fatalf("box %s begins %d bytes after the one before", b.kind, head)
			}
			end = b.end
		}
		if !slices.Equal(got, kinds) || end != int64(len(p)) {
			t.Fatalf("%v to %d, want %v to %d", got, end, kinds, len(p))
		}
	}
}
