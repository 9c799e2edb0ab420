package card

import (
	"context"
	"os"
	"time"

	"stopledger/decode"
)

// An Entry is a clip to be measured, or a path that cannot be one.
type Entry struct {
	Path  string   // to open
	Name  string   // to show: the same but for numbered pictures, shot.[0001-0024].dpx
	Parts []string // files of a clip recorded in several, in order; nil for a clip in one
	Err   error    // why there is nothing to measure; nil for a clip

	Root  int    // which of the paths asked for it lies under, from 0
	Below string // its path from that one on, with slashes

	folder   string          // of the sequence, with its slash
	sequence decode.Sequence // whose first picture is at Path; Count is 0 for a clip in a container
	watched  []string        // files whose change is a change of the clip
	states   []state         // of those, when they were last looked at
}

// A state is what tells a file from the same file with more or other bytes in it. There is none of
// a file that cannot be looked at.
type state struct {
	size    int64
	changed time.Time
}

func stateOf(path string) state {
	info, err := os.Stat(path)
	if err != nil {
		return state{}
	}
	return state{info.Size(), info.ModTime()}
}

// newClip is the entry of a clip in one file or in parts.
func newClip(files ...string) *Entry {
	e := &Entry{Path: files[0], Name: files[0], watched: files}
	if len(files) > 1 {
		e.Parts = files
	}
	e.look()
	return e
}

// newSequence is the entry of numbered pictures.
func newSequence(folder string, s decode.Sequence) *Entry {
	e := &Entry{Path: folder + s.Name(0), folder: folder, sequence: s}
	e.look()
	return e
}

// look takes the clip's files as they are now: a sequence may have grown by some pictures.
func (e *Entry) look() {
	if s := &e.sequence; s.Count > 0 {
		for exists(e.next()) {
			s.Count++
		}
		e.Name, e.watched = e.folder+s.String(), []string{e.folder + s.Name(s.Count-1)}
	}
	e.states = make([]state, len(e.watched))
	for i, path := range e.watched {
		e.states[i] = stateOf(path)
	}
}

// Files returns the files of the clip in order. An entry that was not found by Find has none.
func (e *Entry) Files() []string {
	if e.sequence.Count == 0 {
		return e.watched
	}
	files := make([]string, e.sequence.Count)
	for i := range files {
		files[i] = e.folder + e.sequence.Name(i)
	}
	return files
}

// next is the picture whose arrival is a change of a sequence.
func (e *Entry) next() string { return e.folder + e.sequence.Name(e.sequence.Count) }

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// Changed reports whether the clip's files have changed since the entry was found or Settle was
// asked. An entry that was not found by Find never changes.
func (e *Entry) Changed() bool {
	for i, path := range e.watched {
		if now := stateOf(path); now.size != e.states[i].size || !now.changed.Equal(e.states[i].changed) {
			return true
		}
	}
	return e.sequence.Count > 0 && exists(e.next())
}

// Growing reports whether the clip is still being recorded or copied: it has changed, or a program
// on this machine has one of its files open for writing. That can be told on Linux only, of files
// of the user who asks.
func (e *Entry) Growing() bool {
	for _, path := range e.watched {
		if openForWriting(path) {
			return true
		}
	}
	return e.Changed()
}

// Settling is how long a clip must stay as it is to be taken as whole: common practice, no source.
const Settling = 2 * time.Second

// Settle looks at a clip again that was growing, and some time later once more. It returns an error
// for the user where the clip is growing still, and that of ctx.
func (e *Entry) Settle(ctx context.Context) error {
	e.look()
	select {
	case <-time.After(Settling):
	case <-ctx.Done():
		return ctx.Err()
	}
	if e.Growing() {
		return e.unsettled("the clip is still being written")
	}
	return nil
}

// Disturbed returns the error for the user of a clip that changed while it was measured.
func (e *Entry) Disturbed() error { return e.unsettled("the clip changed while it was measured") }

func (e *Entry) unsettled(what string) error {
	return &decode.ClipError{Path: e.Path, What: what, Err: decode.ErrUnreadable,
		Do: "measure it again when the recording or copy is through"}
}
