package encode

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/asticode/go-astiav"

	"stopledger/decode"
)

// A Sequence is one file a frame. What a still codec emits is a whole file.
type Sequence struct {
	pattern string
	encoder *encoder
	written []string
}

// NewSequence begins numbered files; the pattern holds a %06d (or the like) for the number, from 0.
func NewSequence(pattern string, e Settings) (*Sequence, error) {
	enc, err := newEncoder(e, false)
	if err != nil {
		return nil, err
	}
	return &Sequence{pattern: pattern, encoder: enc}, nil
}

// Add writes the next frame, as a file of its own.
func (s *Sequence) Add(f *decode.Frame) error { return s.encoder.encode(f, s.write) }

func (s *Sequence) write(p *astiav.Packet) error {
	path := fmt.Sprintf(s.pattern, len(s.written))
	temporary := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part")
	if err := os.WriteFile(temporary, p.Data(), 0o644); err != nil {
		return err
	}
	s.written = append(s.written, path)
	return publish(temporary, path)
}

// Finish writes what the encoder still holds.
func (s *Sequence) Finish() error {
	if err := s.encoder.send(nil, s.write); err != nil {
		return err
	}
	s.encoder.free()
	return nil
}

// Abandon removes what was written.
func (s *Sequence) Abandon() {
	s.encoder.free()
	for _, path := range s.written {
		os.Remove(path)
		os.Remove(filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part"))
	}
}
