//go:build linux || darwin || freebsd

package disk

import "golang.org/x/sys/unix"

// Free returns the bytes that the user may still write below a folder; known is false where the
// system does not tell.
func Free(dir string) (bytes int64, known bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}
