package decode

/*
#cgo pkg-config: libavutil
#include <libavutil/log.h>

// FFmpeg's own messages go nowhere: what a user has to know is in this package's errors.
static void be_silent(void *context, int level, const char *format, va_list arguments) {}
static void silence(void) { av_log_set_callback(be_silent); }
*/
import "C"

func init() { C.silence() }
