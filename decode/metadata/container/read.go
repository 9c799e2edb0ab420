// Package container finds what a clip's bytes hold of metadata: per-frame sets, XML, keys, cameras'
// notes, colour tags and picture descriptors of MP4, QuickTime and MXF files, which FFmpeg does not
// pass on. It tells where each stood and nothing of what it means.
package container

import (
	"io"
	"strings"
)

// Read looks into the size bytes of a clip. format is FFmpeg's short name of the container, asked
// only where the first bytes do not tell. What is found is never nil; the error is the first
// failure of r itself: damage is told in Found.
func Read(r io.ReaderAt, size int64, format string) (*Found, error) {
	s := newSource(r, size)
	return gather(s, format), s.fault
}

func gather(s *source, format string) *Found {
	in := &Found{}
	switch {
	case isBoxes(s):
		in.gatherBoxes(s)
	case isMXF(s):
		in.gatherMXF(s)
	case strings.Contains(format, "mov"):
		in.gatherBoxes(s)
	}
	return in
}
