package ledger

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// lockFile is held while a run writes a folder. The lock is the kernel's: it ends with the program
// that holds it, however that ends, and the file means nothing by itself.
const lockFile = ".stopledger.lock"

// ErrInUse is told of a folder that another run writes.
var ErrInUse = errors.New("another run of stopledger writes this folder: wait for it, or name another folder")

// A Lock is held on a folder that is being written.
type Lock struct {
	file *os.File // nil where the file system has no locks
	path string   // of the file
}

// LockFolder locks a folder against other runs, on this machine and, where the file system takes
// locks over the network, on others. Where it has none the folder is not locked and Held is false.
func LockFolder(dir string) (*Lock, error) {
	path := filepath.Join(dir, lockFile)
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, err
		}
		switch err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); {
		case errors.Is(err, syscall.EWOULDBLOCK):
			f.Close()
			return nil, fmt.Errorf("%s: %w", dir, ErrInUse)
		case errors.Is(err, syscall.EINTR):
		case err != nil:
			f.Close()
			return &Lock{path: path}, nil
		case stillThere(f, path):
			return &Lock{file: f, path: path}, nil
		}
		f.Close() // the run before took the file away meanwhile
	}
}

// stillThere tells whether the open file is the one of that name.
func stillThere(f *os.File, path string) bool {
	open, err := f.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(path)
	return err == nil && os.SameFile(open, named)
}

// Held tells whether the folder is locked: not so on a file system without locks.
func (l *Lock) Held() bool { return l.file != nil }

// Release ends the lock and takes its file away.
func (l *Lock) Release() {
	os.Remove(l.path) // while it is held: whoever waits for it sees that it is gone
	if l.file != nil {
		l.file.Close()
	}
}
