package audit

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"

	"stopledger/decode"
	"stopledger/decode/metadata"
)

// A PictureError says that a clip was measured and its pictures could not be written.
type PictureError struct {
	Path string // of the clip
	Err  error  // what went wrong
}

// Error returns what went wrong; it names the picture's file.
func (e *PictureError) Error() string { return e.Err.Error() }

// Unwrap returns the cause.
func (e *PictureError) Unwrap() error { return e.Err }

// failureText is an error in one line without the path, which stands beside it.
func failureText(err error) string {
	var c *decode.ClipError
	if errors.As(err, &c) {
		return c.What + "; " + c.Do
	}
	return strings.Join(strings.Fields(err.Error()), " ")
}

// forUser gives an error from settling or from reading frames the shape that people see.
func forUser(path string, err error) error {
	var known *decode.ClipError
	var unsettled *metadata.SettleError
	var damage *decode.Damage
	var change *decode.FormatChange
	switch {
	case errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &unsettled):
		return &decode.ClipError{Path: path, What: unsettled.What, Do: unsettled.Do, Err: err}
	case errors.As(err, &change):
		return &decode.ClipError{Path: path, What: "the picture changes " + change.Change(),
			Do: "cut the clip there, and measure its parts", Err: err}
	case errors.As(err, &damage):
		return &decode.ClipError{Path: path, What: "not one frame could be decoded",
			Do: "copy it again from the card, and check that it plays", Err: err}
	}
	return &decode.ClipError{Path: path, What: "its frames cannot be read (" + err.Error() + ")",
		Do: "check that it plays", Err: err}
}

// changed is the error of a clip that was measured in two states.
func changed(path string) error {
	return &decode.ClipError{Path: path, What: "the clip changed while it was measured", Err: decode.ErrUnreadable,
		Do: "measure it again when the recording or copy is through"}
}

// broken turns a panic into an error for the user, with the place where it arose.
func broken(path string, panicked any) error {
	return &decode.ClipError{
		Path: path,
		What: fmt.Sprintf("the program broke on this clip (%v, %s)", panicked, panicPlace()),
		Do:   "the other clips are not affected; please report it with this line and, if you can, the clip",
	}
}

// panicPlace finds the function and line that panicked, as seen from a deferred function.
func panicPlace() string {
	pc := make([]uintptr, 32)
	frames := runtime.CallersFrames(pc[:runtime.Callers(1, pc)])
	panicking := false
	for {
		f, more := frames.Next()
		switch {
		case f.Function == "runtime.gopanic":
			panicking = true
		case panicking && !strings.HasPrefix(f.Function, "runtime."):
			return fmt.Sprintf("%s:%d", f.Function, f.Line)
		}
		if !more {
			return "unknown place"
		}
	}
}
