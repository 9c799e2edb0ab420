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
	"errors"
	"runtime"
	"strings"
	"syscall"

	"github.com/asticode/go-astiav"
)

// What to do about a clip that cannot be read.
const (
	copyAgain = "copy it again from the card, and check that it plays"
	convert   = "convert the clip to ProRes, DNxHR or FFV1 first"
)

// errNoMemory is FFmpeg's AVERROR(ENOMEM).
const errNoMemory = astiav.Error(-int(syscall.ENOMEM))

// explain turns an error from below into a *ClipError about the clip at path.
func explain(path string, err error) error {
	var done *ClipError
	var change *FormatChange
	var unread unreadCodec
	var log *logged
	said := ""
	if errors.As(err, &log) {
		said = log.said
	}
	switch {
	case errors.As(err, &done):
		return err
	case errors.As(err, &change):
		change.Path = path
		return change
	case errors.Is(err, errNoMemory):
		return fail(path, ErrMemory, nil, "there is not enough memory to decode it",
			"measure fewer clips at a time with --jobs, or on a machine with more memory")
	case errors.As(err, &unread):
		return fail(path, ErrUnsupported, nil, "stopledger does not read "+unread.title+" video",
			"convert it to ProRes, DNxHR or FFV1, or measure the camera's own file")
	case errors.Is(err, ErrNoVideo):
		return fail(path, ErrNoVideo, nil, "there is no video in the file", "name a clip with a picture")
	case errors.Is(err, ErrEmpty):
		return fail(path, ErrEmpty, nil,
			"there is not one frame in the file: it is cut off, or its picture is kept in another file", copyAgain)
	case errors.Is(err, ErrUnsupported):
		what := strings.Replace(err.Error(), ErrUnsupported.Error()+": ", "", 1)
		return fail(path, ErrUnsupported, err, "what is in the file is not supported ("+what+")", convert)
	case strings.Contains(said, "whitelist"):
		return fail(path, ErrUnsupported, err,
			"this kind of file is not read: no camera or recorder writes clips in it", convert)
	case strings.Contains(said, "moov atom not found"):
		return fail(path, ErrDamaged, err,
			"the file has no index (moov): the recording or a copy was cut off, or it is not a video file", copyAgain)
	case errors.Is(err, astiav.ErrInvaliddata), errors.Is(err, astiav.ErrEof), errors.Is(err, astiav.ErrEio),
		errors.Is(err, ErrDamaged):
		return fail(path, ErrDamaged, err, "the file is cut off or damaged, or it is not a video file", copyAgain)
	}
	return fail(path, ErrUnsupported, err, "the file cannot be read ("+err.Error()+")", convert)
}

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
