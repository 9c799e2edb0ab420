// Package runlog keeps the log of a run in the folder of its report: a line an event, each with its
// time.
package runlog

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"stopledger/analyze"
	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/report"
)

// Name is the file in the report's folder. A later run goes on in it.
const Name = report.AuditLog

// tool stands in the first line of every run, and so in that of every log.
const tool = "stopledger"

// A Log is a run's log. A nil one, of a run without a folder, takes everything and writes nothing.
type Log struct {
	file  *os.File
	to    *keeping
	lines *slog.Logger
	begun time.Time
}

// Open opens the log in a folder. A file of that name that is not a log of ours is an error.
func Open(dir string) (*Log, error) {
	f, err := os.OpenFile(filepath.Join(dir, Name), os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return nil, fmt.Errorf("the log cannot be written: %w", err)
	}
	const enough = 512 // bytes of the first line
	head, err := io.ReadAll(io.NewSectionReader(f, 0, enough))
	if err == nil && len(head) > 0 && !bytes.Contains(head, []byte("tool="+tool+" ")) {
		err = fmt.Errorf("--out %s holds %s, which stopledger did not write: name another folder", dir, Name)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	to := &keeping{w: f}
	return &Log{f, to, slog.New(slog.NewTextHandler(to, nil)), time.Now()}, nil
}

// keeping keeps the first error of a writer.
type keeping struct {
	w   io.Writer
	err error
}

// Write writes one line; slog calls it for one line at a time.
func (k *keeping) Write(b []byte) (int, error) {
	n, err := k.w.Write(b)
	if k.err == nil {
		k.err = err
	}
	return n, err
}

// Begin tells what is run, how, and on what; entries that are no clips are told with the reason.
func (l *Log) Begin(verb, version string, s analyze.Settings, entries []card.Entry) {
	if l == nil {
		return
	}
	settings, err := json.Marshal(s)
	if err != nil {
		settings = []byte(err.Error())
	}
	l.lines.Info("run begins", "tool", tool, "version", version, "verb", verb, "clips", len(entries),
		"settings", string(settings))
	for _, e := range entries {
		if e.Err != nil {
			l.lines.Error("no clip", "path", e.Name, "error", e.Err.Error())
		}
	}
}

// Around returns a measurer that tells when it begins with a clip, and how that ends.
func (l *Log) Around(measure audit.Measurer) audit.Measurer {
	if l == nil {
		return measure
	}
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		begun, ended := time.Now(), false
		l.lines.Info("clip begins", "path", j.Path)
		defer func() {
			if !ended { // the panic goes on to whoever called
				l.lines.Error("clip broke the program", "path", j.Path, seconds(begun))
			}
		}()
		clip, err := measure(ctx, j)
		ended = true
		l.clip(ctx, j.Path, begun, &clip, err)
		return clip, err
	}
}

func (l *Log) clip(ctx context.Context, path string, begun time.Time, clip *report.Clip, err error) {
	var pictures *audit.PictureError
	measured := []any{"path", path, seconds(begun),
		"do", clip.Advice.Do(clip.Placement), "level", string(clip.Advice.Worst())}
	switch {
	case errors.As(err, &pictures):
		l.lines.Warn("clip measured, pictures not written", append(measured, "error", err.Error())...)
	case err != nil && ctx.Err() != nil:
		l.lines.Warn("clip left", "path", path, seconds(begun))
	case err != nil:
		l.lines.Error("clip failed", "path", path, seconds(begun), "error", err.Error())
	default:
		l.lines.Info("clip measured", measured...)
	}
}

// Warn tells a warning that was given.
func (l *Log) Warn(text string) {
	if l != nil {
		l.lines.Warn(text)
	}
}

// End tells how the run ended, and closes the log. It returns the first error of writing any of it.
func (l *Log) End(doc *report.Document, exit int, outcome error) error {
	if l == nil {
		return nil
	}
	line := []any{seconds(l.begun), "measured", doc.Measured(), "failed", len(doc.Failed),
		"not_reached", len(doc.NotReached), "exit", exit}
	if outcome != nil {
		line = append(line, "outcome", outcome.Error())
	}
	l.lines.Info("run ends", line...)
	if err := errors.Join(l.to.err, l.file.Close()); err != nil {
		return fmt.Errorf("the log cannot be written: %w", err)
	}
	return nil
}

func seconds(since time.Time) slog.Attr {
	return slog.Float64("seconds", float64(time.Since(since).Round(time.Millisecond).Milliseconds())/1000)
}
