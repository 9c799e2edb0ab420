package synth

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/asticode/go-astiav"
)

// A sequence is one file a frame. What a still codec emits is a whole file.
type sequence struct {
	pattern string
	encoder *encoder
	written []string
}

func newSequence(pattern string, cam Camera, shot Shot, e Encoding) (*sequence, error) {
	enc, err := newEncoder(cam, shot, e, false)
	if err != nil {
		return nil, err
	}
	return &sequence{pattern: pattern, encoder: enc}, nil
}

func (s *sequence) add(p Planes) error { return s.encoder.encode(p, s.write) }

func (s *sequence) write(p *astiav.Packet) error {
	path := fmt.Sprintf(s.pattern, len(s.written))
	temporary := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part")
	if err := os.WriteFile(temporary, p.Data(), 0o644); err != nil {
		return err
	}
	s.written = append(s.written, path)
	return publish(temporary, path)
}

func (s *sequence) finish() error {
	if err := s.encoder.send(nil, s.write); err != nil {
		return err
	}
	s.encoder.free()
	return nil
}

func (s *sequence) abandon() {
	s.encoder.free()
	for _, path := range s.written {
		os.Remove(path)
		os.Remove(filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part"))
	}
}
