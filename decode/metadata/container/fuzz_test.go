package container

import (
	"bytes"
	"testing"

	"stopledger/decode/metadata/build"
)

func FuzzSampleTable(f *testing.F) {
	f.Add(build.SampleTable(build.RTMDEntry, []int{3, 4, 5, 6}, 3, 0, 2), uint16(2))
	f.Add(build.MP4("stbl", build.Full("stsc", build.U32(1), build.U32(1), build.U32(4), build.U32(1)),
		build.Full("stsz", build.U32(3), build.U32(4)),
		build.Full("stco", build.U32(1), build.U32(0))), uint16(1))
	f.Fuzz(func(t *testing.T, p []byte, i uint16) {
		s := sourceOf(p)
		for _, b := range s.boxes(0, s.size) {
			table, err := s.sampleTable(b)
			if err != nil {
				continue
			}
			if got, err := s.sample(table, int(i)); err == nil && !bytes.Contains(p, got) {
				t.Errorf("sample %d is not of the file", i)
			}
		}
	})
}

// FuzzAncillary cuts any bytes into packets and joins them again, and joins any bytes as they are.
func FuzzAncillary(f *testing.F) {
	f.Add(build.WorkedSample()[28:])
	f.Add(build.Ancillary(build.Pieces(build.WorkedSample())...))
	f.Fuzz(func(t *testing.T, p []byte) {
		if got := ancillarySets(build.Ancillary(build.Pieces(p)...)); !bytes.Equal(got, p) {
			t.Errorf("%d bytes came back as %d", len(p), len(got))
		}
		if got := ancillarySets(p); len(got) > len(p) {
			t.Errorf("%d bytes out of %d", len(got), len(p))
		}
	})
}
