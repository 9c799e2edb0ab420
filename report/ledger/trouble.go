package ledger

import (
	"errors"
	"fmt"
	"path/filepath"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// What a file that is no ledger of this program is.
var (
	errForeign = errors.New("it is a database that stopledger did not write; name another folder, or move it away")
	errNewer   = errors.New("a later version of stopledger wrote it; use that version, or start over with --fresh")
	errOlder   = errors.New("an earlier version of stopledger wrote it; the audit's command, given again, brings it up")
	errDamaged = errors.New("it is damaged; copy it from a backup, or start over with --fresh")
	errFull    = errors.New("there is no room: make some and give the same command again; what is measured is kept")
	errWhere   = errors.New("it is no file; name another folder")
)

// ErrMissing is told of a folder without a ledger.
var ErrMissing = errors.New("there is no such file; name a folder that stopledger audit --out wrote")

// told gives an error with the ledger of a folder the shape that people see.
func told(dir string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", filepath.Join(dir, FileName), named(err))
}

// named gives errors of SQLite that a user can do something about their names.
func named(err error) error {
	var s sqlite3.Error
	switch known := errors.As(err, &s); {
	case errors.Is(err, errFull):
	case Full(err):
		return fmt.Errorf("%w (%w)", errFull, err)
	case known && (s.Code == sqlite3.ErrCorrupt || s.Code == sqlite3.ErrNotADB) && !errors.Is(err, errDamaged):
		return fmt.Errorf("%w (%w)", errDamaged, err)
	case known && s.Code == sqlite3.ErrBusy:
		return fmt.Errorf("another program uses it: try again when that has ended (%w)", err)
	}
	return err
}

// Full tells whether err says that the disk is full, the user's share of it is used up, or a file
// may not grow any more.
func Full(err error) bool {
	var s sqlite3.Error
	if errors.As(err, &s) && (s.Code == sqlite3.ErrFull || full(s.SystemErrno)) {
		return true
	}
	var errno syscall.Errno
	return errors.As(err, &errno) && full(errno)
}

func full(errno syscall.Errno) bool {
	return errno == syscall.ENOSPC || errno == syscall.EDQUOT || errno == syscall.EFBIG
}

// lacks tells whether err says that a file system has no locks.
func lacks(err error) bool {
	var s sqlite3.Error
	return errors.As(err, &s) &&
		(s.ExtendedCode == sqlite3.ErrIoErrLock || s.ExtendedCode == sqlite3.ErrIoErrCheckReservedLock)
}
