package audit

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"stopledger/analyze"
	"stopledger/analyze/still"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/worker"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/report"
	"stopledger/report/picture"
)

// A Crew says how a run's clips are measured in processes of their own.
type Crew struct {
	Verb    string        // this program's first argument with which it calls Work
	Jobs    int           // processes at most
	Timeout time.Duration // without progress in a clip
}

// Workers measure clips in processes of their own: what breaks one of them costs one clip.
type Workers struct{ pool *worker.Pool }

// Hire returns workers for these entries: they may read the folders in which these lie, and the files
// of curves and of the display transform. Close sends them away. The error is of a folder that does not
// answer in time.
func (c Crew) Hire(ctx context.Context, entries []card.Entry, s analyze.Settings) (*Workers, error) {
	read, err := Patiently(ctx, c.Timeout, func(looking func(string)) ([]string, error) {
		return readable(entries, s, looking), nil
	})
	if err != nil {
		return nil, err
	}
	return &Workers{worker.NewPool(worker.Config{Command: worker.Ourselves(c.Verb), Most: c.Jobs, Memory: budget(c.Jobs),
		Timeout: c.Timeout, Confined: worker.Confinement{Read: read}})}, nil
}

// Unconfined says why workers may touch more than that; "" where they may not.
func Unconfined() string {
	if worker.Confines() == "" {
		return "this system cannot confine the processes that decode clips (it takes Linux with Landlock)"
	}
	return ""
}

// Close ends the workers' processes.
func (w *Workers) Close() { w.pool.Close() }

// readable returns the folders and files that measuring takes: those of the clips, also where links
// in them lead, and the files of curves and of the display transform.
func readable(entries []card.Entry, s analyze.Settings, looking func(path string)) []string {
	read, seen := []string{}, map[string]bool{}
	add := func(path string) {
		if path != "" && !seen[path] {
			seen[path] = true
			read = append(read, path)
		}
	}
	for _, e := range entries {
		for _, path := range append([]string{e.Path}, e.Parts...) {
			if folder := filepath.Dir(path); e.Err == nil && !seen[folder] {
				looking(folder)
				add(folder)
				for _, leads := range linked(folder) {
					add(leads)
				}
			}
		}
	}
	for _, c := range []*curve.Curve{s.Curve.Curve, s.Assume.Curve} {
		if c != nil && !isPublished(c) {
			add(c.Source.Title)
		}
	}
	if d := s.Display; d != nil && d.Made != nil {
		add(d.Made.Path)
	}
	return read
}

// linked returns where the links of a folder lead.
func linked(folder string) (to []string) {
	files, _ := os.ReadDir(folder)
	for _, f := range files {
		if f.Type()&os.ModeSymlink == 0 {
			continue
		}
		if leads, err := filepath.EvalSymlinks(filepath.Join(folder, f.Name())); err == nil {
			to = append(to, leads)
		}
	}
	return to
}

// Measure measures one clip, as the function Measure does, in a worker.
func (w *Workers) Measure(ctx context.Context, j Job) (report.Clip, error) {
	lease, err := w.pool.Lease(ctx)
	if err != nil {
		return report.Clip{}, err
	}
	defer lease.Release()
	return j.through(ctx, &remote{lease: lease, path: j.Path, parts: j.Parts, settings: j.measured()})
}

// remote decodes in a worker.
type remote struct {
	lease    *worker.Lease
	path     string
	parts    []string
	settings analyze.Settings
	info     decode.Info // once opened
}

func (r *remote) measure(ctx context.Context, s analyze.Settings,
	progress func(share float64)) (*Measurement, error) {
	opened, err := r.ask(ctx, request{Step: opening}, openingMemory(r.path), nil)
	if err != nil {
		return nil, err
	}
	r.info = opened.Info
	measured, err := r.ask(ctx, request{Step: measuring}, measuringMemory(r.info), progress)
	if err != nil {
		return nil, err
	}
	return MeasurementFrom(measured.Measured, s)
}

func (r *remote) view(ctx context.Context, m *Measurement) (*still.Still, error) {
	b, err := m.Bytes()
	if err != nil {
		return nil, err
	}
	a, err := r.ask(ctx, request{Step: viewing, Measured: b}, measuringMemory(m.Info), nil)
	return a.View, err
}

func (r *remote) pictures(ctx context.Context, m *Measurement, c *report.Clip,
	at *geometry.Rect) (*picture.Rendered, error) {
	b, err := m.Bytes()
	if err != nil {
		return nil, err
	}
	a, err := r.ask(ctx, request{Step: picturing, Measured: b, Clip: c, At: at},
		measuringMemory(m.Info), nil)
	return a.Pictures, err
}

// ask has a worker do one step.
func (r *remote) ask(ctx context.Context, q request, m memory, progress func(share float64)) (reply, error) {
	q.Path, q.Parts, q.Settings = r.path, r.parts, r.settings
	if q.Step != picturing {
		q.Settings.Display = nil // nothing else takes it
	}
	body, err := wire.Marshal(q)
	if err != nil {
		return reply{}, err
	}
	answer, err := r.lease.Do(ctx, worker.Job{Body: body, Stage: string(q.Step), Need: m.need, Limit: m.limit},
		func(_ string, share float64) {
			if progress != nil {
				progress(share)
			}
		})
	var a reply
	if err == nil {
		err = wire.Unmarshal(answer, &a)
	}
	if err == nil {
		err = a.Failed.err()
	}
	if errors.Is(err, decode.ErrMemory) { // FFmpeg got none, and lived to tell
		err = &worker.OutOfMemory{Stage: string(q.Step), Limit: m.limit}
	}
	return a, r.forUser(err)
}

// forUser words what became of a worker.
func (r *remote) forUser(err error) error {
	var crash *worker.Crash
	var short *worker.OutOfMemory
	var stall *worker.Stall
	frames := ""
	if r.info.Width > 0 {
		frames = fmt.Sprintf(", for frames of %d x %d", r.info.Width, r.info.Height)
	}
	switch {
	case errors.As(err, &crash):
		return &decode.ClipError{Path: r.path, What: crash.Error(), Err: err,
			Do: "the other clips are not affected; please report it with this line and, if you can, the clip"}
	case errors.As(err, &short):
		return &decode.ClipError{Path: r.path, What: short.Error() + frames, Err: err,
			Do: "check that it plays; the other clips are not affected"}
	case errors.As(err, &stall):
		return &decode.ClipError{Path: r.path, What: stall.Error(), Err: err,
			Do: "check that it plays, or give it longer with --clip-timeout"}
	}
	return err
}
