package container

import (
	"bytes"
	"testing"

	"stopledger/decode/metadata/build"
)

// SMPTE ST 436: other packets are passed over, pieces are joined in order, padding is left out.
func TestAncillaryPackets(t *testing.T) {
	sets := bytes.Repeat([]byte("0123456789"), 77)
	if got := ancillarySets(build.Ancillary(build.Pieces(sets)...)); !bytes.Equal(got, sets) {
		t.Errorf("joined %d bytes, want %d", len(got), len(sets))
	}
	p := build.Ancillary(build.Pieces(sets)...)
	for n := range p {
		if got := ancillarySets(p[:n]); !bytes.HasPrefix(sets, got[:max(0, len(got)-4)]) {
			t.Fatalf("cut at %d: %d bytes that do not belong", n, len(got))
		}
	}
	huge := build.Join(build.U16(1), build.U16(9), []byte{1, 4}, build.U16(4), build.U32(-1), build.U32(-1),
		[]byte{0x43, 5, 255, 1, 7})
	if got := ancillarySets(huge); !bytes.Equal(got, []byte{7}) {
		t.Errorf("a size past the end: % X", got)
	}
}
