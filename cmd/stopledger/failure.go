package main

import (
	"errors"
	"fmt"
	"runtime"
	"strings"

	"stopledger/decode"
)

// failureText is an error in one line without the path, which stands beside it.
func failureText(err error) string {
	var c *decode.ClipError
	if errors.As(err, &c) {
		return c.What + "; " + c.Do
	}
	return strings.Join(strings.Fields(err.Error()), " ")
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
