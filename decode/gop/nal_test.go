package gop

import "testing"

// avcC and hvcC with units of 4 and 2 bytes' length; the latter of two temporal layers.
var (
	avcC = []byte{1, 100, 0, 40, 0xff, 0xe1, 0}
	hvcC = append(append([]byte{1}, make([]byte, 20)...), 2<<3|1, 0)
)

// TestSpare: the types and fields are those of H.264, tables 7-1 and 7.4.1, and H.265, tables 7-1 and 7.4.2.2.
func TestSpare(t *testing.T) {
	unit := func(head ...byte) []byte { return append([]byte{0, 0, 0, byte(len(head))}, head...) }
	short := func(head ...byte) []byte { return append([]byte{0, byte(len(head))}, head...) }
	join := func(all ...[]byte) (one []byte) {
		for _, u := range all {
			one = append(one, u...)
		}
		return one
	}
	for _, tc := range []struct {
		name   string
		codec  string
		packet []byte
		want   bool
	}{
		{"a slice referred to by none", "h264", unit(0x01, 9), true},
		{"after a delimiter and a message", "h264", join(unit(0x09, 0), unit(0x06, 5), unit(0x01, 9)), true},
		{"a slice that is referred to", "h264", unit(0x41, 9), false},
		{"the second field is", "h264", join(unit(0x01, 9), unit(0x21, 9)), false},
		{"a key frame", "h264", unit(0x65, 9), false},
		{"parameters before it", "h264", join(unit(0x68, 9), unit(0x01, 9)), false},
		{"no picture", "h264", unit(0x06, 5), false},
		{"cut off", "h264", unit(0x01, 9)[:5], false},
		{"nothing", "h264", nil, false},
		{"TRAIL_N of the highest layer", "hevc", short(0<<1, 2), true},
		{"TRAIL_N of a layer below", "hevc", short(0<<1, 1), false},
		{"TRAIL_R", "hevc", short(1<<1, 2), false},
		{"RASL_N", "hevc", join(short(39<<1, 1), short(8<<1, 2)), true},
		{"a reserved type", "hevc", short(16<<1, 2), false},
		{"parameters", "hevc", join(short(34<<1, 1), short(0<<1, 2)), false},
	} {
		record := avcC
		if tc.codec == "hevc" {
			record = hvcC
		}
		if got := StreamOf(tc.codec, record).Spare(tc.packet); got != tc.want {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}

// TestNothingIsKnown: of streams without a record, or without the number of layers, nothing is spare.
func TestNothingIsKnown(t *testing.T) {
	unknown := append([]byte(nil), hvcC...)
	unknown[21] = 1
	for _, s := range []Stream{{}, StreamOf("h264", nil), StreamOf("h264", []byte{0, 0, 0, 1, 0x67, 1, 2, 3}),
		StreamOf("vp9", avcC), StreamOf("hevc", unknown)} {
		if s.Spare([]byte{0, 0, 0, 2, 1, 9}) || s.Spare([]byte{0, 2, 0, 2}) {
			t.Errorf("%+v tells that a picture is spare", s)
		}
	}
}

func FuzzSpare(f *testing.F) {
	f.Add([]byte{0, 0, 0, 2, 1, 9})
	f.Fuzz(func(t *testing.T, packet []byte) {
		for _, s := range []Stream{StreamOf("h264", avcC), StreamOf("hevc", hvcC)} {
			if s.Spare(packet) && len(packet) < 4 {
				t.Errorf("%x holds a picture", packet)
			}
		}
	})
}
