//go:build !(linux || darwin || freebsd)

package disk

// Free tells nothing on this system.
func Free(string) (bytes int64, known bool) { return 0, false }
