package container

import (
	"bytes"
	"os"
	"strconv"
	"testing"

	"stopledger/decode/metadata/build"
)

// The place and size of every sample of a track, in both arrangements of the file.
func TestSamplePlacesAreFFmpegs(t *testing.T) {
	for _, flags := range []string{"+faststart", "+write_colr"} {
		path := build.FFmpeg(t, "a.mp4", "-f", "lavfi", "-i", "sine=d=0.4", "-c:v", "mpeg4", "-c:a", "aac", "-movflags",
			flags)
		want := build.FFprobe(t, path, "-select_streams", "v", "-show_packets").Packets
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := sourceOf(file)
		moov, _ := first(s.boxes(0, s.size), "moov")
		stbl, ok := s.descend(moov, "trak", "mdia", "minf", "stbl")
		if !ok {
			t.Fatal("no sample table")
		}
		table, err := s.sampleTable(stbl)
		if err != nil || table.count != len(want) || table.count == 0 {
			t.Fatalf("%d samples, FFmpeg has %d; %v", table.count, len(want), err)
		}
		for i, w := range want {
			at, _ := strconv.Atoi(w.Pos)
			n, _ := strconv.Atoi(w.Size)
			if got, err := s.sample(table, i); err != nil || !bytes.Equal(got, file[at:at+n]) {
				t.Errorf("%s, sample %d: %v", flags, i, err)
			}
		}
	}
}
