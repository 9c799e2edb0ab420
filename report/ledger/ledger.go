// Package ledger keeps the measurements of clips in a SQLite database in the folder of a report,
// each committed the moment it is made, with what runs were asked for and what became of each clip.
// It knows a measurement as bytes and computes nothing.
//
// A folder is locked (LockFolder) before its ledger is opened to be written. While a run writes, the
// journal is a write-ahead log, or a rollback journal where the file system lacks shared memory or
// locks; a ledger that was closed is one file, which may be read where nothing can be written.
package ledger

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
)

// A Ledger is open to be read and, but for OpenReadOnly, written. It may be used by several
// goroutines.
type Ledger struct {
	db  *sql.DB
	dir string // "" for one that is not kept
}

// Open opens the ledger of a folder that is locked, and makes it where there is none. One of an
// earlier version is upgraded. What is no ledger, is damaged or of a later version is refused; with
// fresh, damaged ones and those of later versions are removed, and nothing that the ledger holds is
// used for another run.
func Open(dir string, lock *Lock, fresh bool) (*Ledger, error) {
	l, err := open(dir, lock.Held(), layout)
	if err = named(err); fresh && (errors.Is(err, errDamaged) || errors.Is(err, errNewer)) {
		if err := remove(dir); err != nil {
			return nil, told(dir, err)
		}
		l, err = open(dir, lock.Held(), layout)
	}
	if err != nil {
		return nil, told(dir, err)
	}
	if fresh {
		if _, err := l.db.Exec("UPDATE outcome SET stale = 1"); err != nil {
			l.db.Close()
			return nil, told(dir, err)
		}
	}
	return l, nil
}

// Temporary returns a ledger that is kept nowhere, for a run without a folder.
func Temporary() (*Ledger, error) {
	db, err := connect("", url.Values{"_journal_mode": {"OFF"}, "_synchronous": {"OFF"}})
	if err != nil {
		return nil, err
	}
	if err := lay(db, layout); err != nil {
		db.Close()
		return nil, err
	}
	return &Ledger{db: db}, nil
}

// OpenReadOnly opens the ledger of a folder, which may come from anywhere, to be read. It needs no
// lock and writes nothing. ErrMissing is told where there is none.
func OpenReadOnly(dir string) (*Ledger, error) {
	path := filepath.Join(dir, FileName)
	if err := checkHeader(path); err != nil {
		return nil, told(dir, err)
	}
	db, err := connect(path, url.Values{"mode": {"ro"}, "_query_only": {"1"}})
	if err != nil {
		return nil, told(dir, err)
	}
	version, err := check(db, layout)
	if err == nil && version < len(layout) {
		err = errOlder
	}
	if err != nil {
		db.Close()
		return nil, told(dir, err)
	}
	return &Ledger{db: db, dir: dir}, nil
}

// open opens or makes a ledger and checks it; locks says that the file system has them.
func open(dir string, locks bool, layout []string) (*Ledger, error) {
	path := filepath.Join(dir, FileName)
	err := checkHeader(path)
	if errors.Is(err, ErrMissing) {
		err = create(dir, layout)
	}
	if err != nil {
		return nil, err
	}
	options := url.Values{"mode": {"rw"}}
	if !locks {
		options.Set("vfs", "unix-none")
	}
	db, err := connect(path, options)
	if err != nil {
		return nil, err
	}
	version, err := check(db, layout)
	if lacks(err) && locks {
		db.Close()
		return open(dir, false, layout)
	}
	if err == nil && version < len(layout) {
		err = upgrade(db, layout, version)
	}
	if err == nil {
		err = keepJournal(db)
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	return &Ledger{db: db, dir: dir}, nil
}

// keepJournal has changes go to a write-ahead log, or, where the file system does not allow that, to
// a rollback journal.
func keepJournal(db *sql.DB) error {
	var mode string
	if err := db.QueryRow("PRAGMA journal_mode = WAL").Scan(&mode); err == nil && mode == "wal" {
		return nil
	}
	return db.QueryRow("PRAGMA journal_mode = DELETE").Scan(&mode)
}

// create makes an empty ledger under another name and renames it, so that a file of the ledger's name
// is always whole.
func create(dir string, layout []string) error {
	f, err := os.CreateTemp(dir, ".stopledger.*.part")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // in vain once it is renamed
	if err := errors.Join(f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	db, err := connect(f.Name(), url.Values{"mode": {"rw"}, "vfs": {"unix-none"}})
	if err != nil {
		return err
	}
	err = lay(db, layout)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), filepath.Join(dir, FileName))
}

// remove removes the ledger of a folder.
func remove(dir string) error {
	for _, ending := range []string{"-wal", "-shm", "-journal", ""} { // the log must not outlive it
		err := os.Remove(filepath.Join(dir, FileName+ending))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// Close ends the use of a ledger. One that was written is brought into one file that opens
// read-only; where another program reads it at that moment, its log stays beside it, which loses
// nothing.
func (l *Ledger) Close() error {
	if l.dir != "" {
		_, _ = l.db.Exec("PRAGMA journal_mode = DELETE") // takes the log in
	}
	return told(l.dir, l.db.Close())
}

// check refuses a database that is no ledger, is of a later version, or is damaged.
func check(db *sql.DB, layout []string) (version int, err error) {
	version, err = versionOf(db)
	switch {
	case err != nil:
		return version, err
	case version > len(layout):
		return version, errNewer
	case version < 1:
		return version, errForeign
	}
	if err := checkLaidOut(db, layout[:version]); err != nil {
		return version, err
	}
	var found string
	if err := db.QueryRow("PRAGMA quick_check(1)").Scan(&found); err != nil {
		return version, err
	}
	if found != "ok" {
		return version, fmt.Errorf("%w (%s)", errDamaged, found)
	}
	return version, nil
}

// checkHeader looks at the first bytes of a file before SQLite does: those of a ledger say so. The
// file is made whole, so they are there from the beginning (https://sqlite.org/fileformat2.html, 1.3).
func checkHeader(path string) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ErrMissing
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return errWhere
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	const magic, idAt = "SQLite format 3\x00", 68
	var head [100]byte
	n, _ := f.ReadAt(head[:], 0)
	id := uint32(head[idAt])<<24 | uint32(head[idAt+1])<<16 | uint32(head[idAt+2])<<8 | uint32(head[idAt+3])
	if n < len(head) || string(head[:len(magic)]) != magic || id != applicationID {
		return errForeign
	}
	return nil
}
