package worker

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// A kind says what a frame on a pipe is.
type kind byte

const (
	ready kind = 'r' // the worker has started
	job   kind = 'j' // to the worker
	told  kind = 't' // how far the job is
	done  kind = 'd' // its answer
)

// mostBytes bounds a frame: the pictures of a clip take a hundredth.
const mostBytes = 1 << 30

var errFrame = errors.New("what came is no frame of the protocol")

// send writes a frame: its kind, its length, its bytes.
func send(w io.Writer, k kind, body []byte) error {
	if len(body) > mostBytes {
		return fmt.Errorf("%d bytes are too many to send", len(body))
	}
	frame := binary.LittleEndian.AppendUint32([]byte{byte(k)}, uint32(len(body)))
	_, err := w.Write(append(frame, body...))
	return err
}

// receive reads a frame.
func receive(r io.Reader) (kind, []byte, error) {
	var head [5]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return 0, nil, err
	}
	k, n := kind(head[0]), binary.LittleEndian.Uint32(head[1:])
	if n > mostBytes || k != ready && k != job && k != told && k != done {
		return 0, nil, errFrame
	}
	body := make([]byte, n)
	_, err := io.ReadFull(r, body)
	return k, body, err
}

// progressOf writes and readProgress reads how far a job is: a share, 0..1, and what is being done.
func progressOf(stage string, share float64) []byte {
	return append(binary.LittleEndian.AppendUint64(nil, math.Float64bits(share)), stage...)
}

func readProgress(body []byte) (stage string, share float64) {
	if len(body) < 8 {
		return "", 0
	}
	return string(body[8:]), math.Float64frombits(binary.LittleEndian.Uint64(body))
}
