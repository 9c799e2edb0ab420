package decode

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// The kinds of trouble a clip can have, for errors.Is.
var (
	ErrUnreadable  = errors.New("unreadable")    // not there, no permission, not a file
	ErrEmpty       = errors.New("empty")         // no bytes, or no frames
	ErrNoVideo     = errors.New("no video")      // nothing in the file is a moving picture
	ErrDamaged     = errors.New("damaged")       // cut off or overwritten
	ErrUnsupported = errors.New("not supported") // valid, but not read by this package
	ErrMemory      = errors.New("no memory")     // the system gave FFmpeg no more of it
)

// A ClipError tells a person what is wrong with a clip and what to do about it.
type ClipError struct {
	Path string // as the user gave it
	What string // "the file is cut off or damaged"
	Do   string // "copy it again from the card"
	Err  error  // one of the kinds above and, where there is one, the cause
}

// Error returns path, what and do in one line.
func (e *ClipError) Error() string {
	what := strings.Map(func(r rune) rune {
		if !strconv.IsPrint(r) {
			return ' '
		}
		return r
	}, e.What)
	return fmt.Sprintf("%s: %s; %s", oneLine(e.Path), what, e.Do)
}

// Unwrap gives the kind of trouble and the cause.
func (e *ClipError) Unwrap() error { return e.Err }

// Damage says that a clip could be read in part: Frames were delivered and are sound, Lost
// were not. Lost is at least 1, and an estimate where the container does not count its frames.
type Damage struct {
	Path   string // as the user gave it
	Frames int    // delivered
	Lost   int    // not delivered, 1 or more
	Err    error  // the first thing that went wrong, or nil
}

// Error returns one line for the user.
func (d *Damage) Error() string {
	return fmt.Sprintf("%s: %s of %d could not be decoded; "+
		"copy the clip again from the card, or take the result as partial",
		oneLine(d.Path), plural(d.Lost, "frame"), d.Frames+d.Lost)
}

// Unwrap gives ErrDamaged and the cause.
func (d *Damage) Unwrap() []error {
	if d.Err == nil {
		return []error{ErrDamaged}
	}
	return []error{ErrDamaged, d.Err}
}

// A FormatChange says that the picture's size, depth or chroma changes within a clip. The frames
// before the change were delivered, as far as they were asked for; the rest is not read.
type FormatChange struct {
	Path   string // as the user gave it
	Frames int    // before the first frame that is found to differ
	From   string // what the clip begins with, of that which changes: 320 x 240; 10 bit, 4:2:2
	To     string // what it changes to
}

// Error returns one line for the user.
func (c *FormatChange) Error() string {
	return oneLine(c.Path) + ": the picture changes " + c.Change() + "; cut the clip there, and measure its parts"
}

// Change words what changes, and where: from 320 x 240 to 640 x 480 after frame 2.
func (c *FormatChange) Change() string {
	return fmt.Sprintf("from %s to %s after frame %d", c.From, c.To, c.Frames)
}

// Unwrap gives ErrUnsupported.
func (c *FormatChange) Unwrap() error { return ErrUnsupported }

// fail makes a ClipError of a kind; cause may be nil.
func fail(path string, kind, cause error, what, do string) *ClipError {
	err := kind
	if cause != nil {
		err = fmt.Errorf("%w: %w", kind, cause)
	}
	return &ClipError{Path: path, What: what, Do: do, Err: err}
}

// oneLine quotes a path that is empty or holds line breaks or other control characters.
func oneLine(path string) string {
	if path == "" || strings.ContainsFunc(path, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return strconv.Quote(path)
	}
	return path
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
