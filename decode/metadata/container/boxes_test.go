package container

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

func sourceOf(p []byte) *source { return newSource(bytes.NewReader(p), int64(len(p))) }

// Sizes of boxes: ISO/IEC 14496-12, 4.2.
func TestBoxSizes(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"two", build.Join(build.MP4("aaaa", build.U32(1)), build.MP4("bbbb")), "aaaa 8..12 bbbb 20..20"},
		{"64 bits", build.Join(build.U32(1), []byte("aaaa"), build.U64(20), build.U32(7), build.MP4("bbbb")),
			"aaaa 16..20 bbbb 28..28"},
		{"to the end", build.Join(build.MP4("aaaa"), build.U32(0), []byte("bbbb"), build.U32(7)), "aaaa 8..8 bbbb 16..20"},
		{"longer than the file", build.Join(build.U32(99), []byte("aaaa"), build.U32(7)), "aaaa 8..12"},
		{"shorter than its header", build.Join(build.MP4("aaaa"), build.U32(7), []byte("bbbb")), "aaaa 8..8"},
		{"64 bits, negative", build.Join(build.U32(1), []byte("aaaa"), build.U64(-1)), ""},
		{"64 bits, huge", build.Join(build.U32(1), []byte("aaaa"), build.U64(1<<63-1), build.U32(1)), "aaaa 16..20"},
		{"64 bits, cut off", build.Join(build.U32(1), []byte("aaaa"), build.U32(0)), ""},
		{"a tail", build.Join(build.MP4("aaaa"), build.U32(0)), "aaaa 8..8"},
		{"nothing", nil, ""},
	} {
		var got []string
		for _, b := range sourceOf(c.data).boxes(0, int64(len(c.data))) {
			got = append(got, fmt.Sprintf("%s %d..%d", b.kind, b.start, b.end))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: got %q, want %q", c.name, s, c.want)
		}
	}
}

func TestNumberOfBoxesIsBounded(t *testing.T) {
	p := bytes.Repeat(build.MP4("aaaa"), maxSiblings+10)
	if n := len(sourceOf(p).boxes(0, int64(len(p)))); n != maxSiblings {
		t.Errorf("%d boxes", n)
	}
}

// A meta box starts with a version in MP4 and without in QuickTime.
func TestMetaOfBothKinds(t *testing.T) {
	body := build.Join(build.Handler("mdta"), build.MP4("keys"))
	for _, p := range [][]byte{build.MP4("meta", body), build.Full("meta", body)} {
		s := sourceOf(p)
		list, handler := s.metaChildren(s.boxes(0, s.size)[0])
		if handler != "mdta" || len(list) != 2 || list[1].kind != "keys" {
			t.Errorf("% X: handler %q, %v", p[:16], handler, list)
		}
	}
}

func TestSourceRefuses(t *testing.T) {
	s := sourceOf(make([]byte, 10))
	for _, c := range [][2]int64{{-1, 1}, {0, 11}, {11, 0}, {5, 6}, {1 << 62, 1 << 62}, {0, -1}, {9, 1<<63 - 1}} {
		if _, err := s.read(c[0], c[1]); err == nil {
			t.Errorf("read %d bytes at %d", c[1], c[0])
		}
	}
	if p, err := s.read(2, 8); err != nil || len(p) != 8 {
		t.Errorf("%d bytes, %v", len(p), err)
	}
	s.left = 5
	if _, err := s.read(0, 6); err == nil {
		t.Error("the budget is not kept")
	}
	if s.fault != nil {
		t.Errorf("a refusal is taken for a fault of the medium: %v", s.fault)
	}
	short := newSource(bytes.NewReader(make([]byte, 10)), 20)
	if _, err := short.read(0, 15); err == nil || short.fault == nil {
		t.Error("a file that ends early is no fault")
	}
}
