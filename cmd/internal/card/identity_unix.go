//go:build unix

package card

import (
	"errors"
	"io/fs"
	"syscall"
)

// An identity is what all names of one file have in common.
type identity struct{ device, inode uint64 }

// identityOf returns a file's identity and how many names it has.
func identityOf(info fs.FileInfo) (id identity, names uint64) {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return identity{uint64(s.Dev), s.Ino}, uint64(s.Nlink) // their types differ between systems
	}
	return identity{}, 1
}

func isTooLong(err error) bool { return errors.Is(err, syscall.ENAMETOOLONG) }
