package container

import (
	"bytes"
	"testing"

	"stopledger/decode/metadata/build"
)

func TestDamagedSamples(t *testing.T) {
	p := build.WorkedSample()
	noHeader := bytes.Clone(p)
	noHeader[0], noHeader[1] = 0, 0
	for name, p := range map[string][]byte{
		"no header":           noHeader,
		"27 bytes":            p[:27],
		"one byte":            p[:1],
		"nothing":             nil,
		"header past its end": build.Join([]byte{0xFF, 0xFF}, p[2:]),
	} {
		if f, err := rtmdFrame(p); err == nil || len(f.Sets) > 0 || f.Timecode != "" {
			t.Errorf("%s: error %v, %+v", name, err, f)
		}
	}
}
