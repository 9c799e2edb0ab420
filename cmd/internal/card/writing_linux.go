package card

import (
	"os"
	"syscall"
)

// openForWriting reports whether any process has a file open for writing: the kernel then refuses
// a read lease on it (fcntl(2), F_SETLEASE). The lease is given back at once. A lease is refused
// for other reasons too, as on files of another user, which tell nothing.
func openForWriting(path string) bool {
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
		return false // opening a device may do something
	}
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return false
	}
	defer f.Close()
	lease := func(kind uintptr) syscall.Errno {
		_, _, errno := syscall.Syscall(syscall.SYS_FCNTL, f.Fd(), syscall.F_SETLEASE, kind)
		return errno
	}
	errno := lease(syscall.F_RDLCK)
	if errno == 0 {
		lease(syscall.F_UNLCK)
	}
	return errno == syscall.EAGAIN
}
