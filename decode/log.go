package decode

/*
#cgo pkg-config: libavutil
#include <stdio.h>
#include <string.h>
#include <libavutil/log.h>

// FFmpeg's messages are kept, not printed: the last error of each thread.
static _Thread_local char last_error[256];

static void keep_error(void *context, int level, const char *format, va_list arguments) {
	if (level <= AV_LOG_ERROR)
		vsnprintf(last_error, sizeof last_error, format, arguments);
}
static void keep_errors(void) { av_log_set_callback(keep_error); }
static void clear_error(void) { last_error[0] = 0; }
static const char *read_error(void) { return last_error; }
*/
import "C"

import (
	"runtime"
	"strings"
)

// go-astiav's own log callback is not used: it prints into 1024 bytes without a bound.
func init() { C.keep_errors() }

// A logged error is one of FFmpeg's with what it logged about it.
type logged struct {
	error
	said string
}

func (l *logged) Error() string { return l.error.Error() + " (" + l.said + ")" }
func (l *logged) Unwrap() error { return l.error }

// explained runs one call into FFmpeg and, if it fails, adds what FFmpeg logged about it.
func explained(call func() error) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	C.clear_error()
	err := call()
	if err == nil {
		return nil
	}
	said := strings.ToValidUTF8(strings.TrimSpace(C.GoString(C.read_error())), "?")
	if said == "" {
		return err
	}
	return &logged{err, said}
}
