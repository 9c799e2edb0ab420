package audit

import (
	"context"
	"errors"
	"io"
	"runtime/debug"

	"stopledger/analyze"
	"stopledger/cmd/internal/worker"
	"stopledger/decode"
)

// Work is the side of a worker process: it does what Workers ask for on stdin until that ends, and
// returns the exit code.
func Work(stdin io.Reader, stdout io.Writer) int {
	return worker.Serve(stdin, stdout, new(hand).do)
}

// A hand does jobs one after the other. It keeps a clip open between the steps, and what its pictures are made of.
type hand struct {
	path  string
	clip  *decode.Clip // nil without one
	shots *analyze.Shots
}

func (h *hand) do(body []byte, tell worker.Tell) []byte {
	a := h.answer(body, tell)
	if a.Failed != nil {
		h.close()
	}
	b, err := wire.Marshal(a)
	if err != nil {
		b, _ = wire.Marshal(reply{Failed: failureOf(err)})
	}
	return b
}

// answer does what is asked for. A panic becomes that clip's error.
func (h *hand) answer(body []byte, tell worker.Tell) (a reply) {
	var r request
	defer func() {
		if p := recover(); p != nil {
			a = reply{Failed: failureOf(broken(r.Path, p))}
		}
	}()
	err := wire.Unmarshal(body, &r)
	if err != nil && r.Step == picturing { // the display file has changed: the clip is measured all the same
		err = &PictureError{r.Path, err}
	}
	if err == nil {
		err = h.open(r, tell)
	}
	if err == nil {
		a, err = h.step(r, tell)
	}
	a.Failed = failureOf(err)
	return a
}

// open opens a clip, unless it is open.
func (h *hand) open(r request, tell worker.Tell) error {
	if h.clip != nil && h.path == r.Path {
		return nil
	}
	h.close()
	told := func() { tell(string(opening), 0) }
	told()
	clip, err := open(context.Background(), r.Path, r.Parts, told)
	h.path, h.clip = r.Path, clip
	if err != nil {
		return err
	}
	debug.SetGCPercent(heapGrowth(clip.Info()))
	return nil
}

// heapGrowth is by how many per cent Go's heap may grow between collections (debug.SetGCPercent) while a clip is
// measured. Frames lie outside it, and a small heap leaves room for large ones; of others 100 costs 15 MB more than
// 30, and a tenth less time.
func heapGrowth(i decode.Info) int {
	if i.Large() {
		return 30
	}
	return 100
}

func (h *hand) close() {
	if h.clip != nil {
		h.shots.Release()
		h.clip.Close()
		h.clip, h.shots = nil, nil
	}
}

func (h *hand) step(r request, tell worker.Tell) (a reply, err error) {
	told := func() { tell(string(r.Step), 0) }
	h.clip.Watch(told)
	told()
	ctx := context.Background() // who asked ends the process instead
	switch r.Step {
	case opening:
		a.Info = h.clip.Info()
	case measuring:
		var m *Measurement
		h.shots.Release()
		m, h.shots, err = MeasureClip(ctx, h.clip, r.Settings, func(s float64) { tell(string(r.Step), s) })
		if err == nil {
			a.Measured, err = m.Bytes()
		}
	case viewing:
		var m *Measurement
		if m, err = MeasurementFrom(r.Measured, r.Settings); err == nil {
			a.View, err = analyze.View(ctx, h.clip, &m.Result, told)
		}
	case picturing:
		defer h.close()
		var m *Measurement
		if m, err = MeasurementFrom(r.Measured, r.Settings); err == nil {
			a.Pictures, err = TakePictures(ctx, h.clip, h.shots, m, r.Clip, r.At, r.Settings.Display, told)
		}
	default:
		err = errors.New("a worker of another version was asked")
	}
	return a, err
}
