//go:build !linux

package worker

// setLimit does nothing: this system has no such limit for another process.
func setLimit(int, int64) {}

// Available returns 0: it is not known how much memory can be had.
func Available() int64 { return 0 }
