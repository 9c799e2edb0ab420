package container

import (
	"errors"
	"fmt"
)

// rtmdFrame reads a sample of an rtmd track: a header that gives its own length and holds the
// timecode at offset 13 in plain binary, then the sets, then zeros.
func rtmdFrame(p []byte) (Frame, error) {
	if len(p) < 2 {
		return Frame{}, errors.New("it is empty")
	}
	header := int(p[0])<<8 | int(p[1])
	if header < 2 || header > len(p) {
		return Frame{}, errors.New("it has no header of its own length")
	}
	f := Frame{Sets: p[header:], Where: "rtmd track"}
	if header >= 18 {
		f.Timecode = Timecode(p[13], p[14], p[15], p[17], p[16] != 0)
	}
	return f, nil
}

// Timecode writes hours, minutes, seconds and frames, or nothing where they are not a time.
func Timecode(h, m, s, frames byte, drop bool) string {
	if h > 23 || m > 59 || s > 59 || frames > 119 {
		return ""
	}
	mark := ":"
	if drop {
		mark = ";"
	}
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", h, m, s, mark, frames)
}
