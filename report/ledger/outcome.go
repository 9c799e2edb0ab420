package ledger

import (
	"database/sql"
	"errors"
	"time"
)

// A Key says of what an outcome is: it is used again for the same key, and for no other.
type Key struct {
	Path        string      // of the clip, as opened
	Settings    string      // those that measuring depends on, as a digest
	Version     string      // of the program
	Fingerprint Fingerprint // of the clip's files
}

// A Reason says why a clip has no measurement.
type Reason string

// Reasons. A refusal of content would be the same again; the others may pass.
const (
	Measured  Reason = ""        // there is one
	Content   Reason = "content" // the file is no clip, damaged, or says too little of itself
	OutOfTime Reason = "time"    // it took too long
	OutOfRoom Reason = "memory"  // it took too much memory
	Died      Reason = "worker"  // the process that measured it died
)

// An Outcome is what measuring a clip came to.
type Outcome struct {
	Reason      Reason // Measured, or why there is none
	Error       string // what the user is told of it; "" for a measurement
	Measurement []byte // nil without one
}

// usable tells whether an earlier outcome stands for measuring again.
func usable(was, is Key, reason Reason, stale bool) bool {
	switch {
	case stale:
		return false // --fresh
	case was.Path != is.Path || was.Settings != is.Settings:
		return false
	case was.Version != is.Version:
		return false
	case was.Fingerprint != is.Fingerprint:
		return false // the files changed
	case reason != Measured && reason != Content:
		return false // it may pass
	}
	return true
}

// An ID names an outcome of a ledger; 0 is none.
type ID int64

// Find returns the outcome that an earlier run came to for this key, where it stands for measuring
// again; 0 where there is none.
func (l *Ledger) Find(k Key) (ID, error) {
	was, stale, id, reason, digest := Key{}, false, ID(0), Reason(""), []byte(nil)
	err := l.db.QueryRow(`SELECT id, path, settings, version, bytes, modified_ns, digest, reason, stale FROM outcome
		WHERE path = ? AND settings = ? ORDER BY id DESC LIMIT 1`, k.Path, k.Settings).Scan(&id, &was.Path, &was.Settings,
		&was.Version, &was.Fingerprint.Bytes, &was.Fingerprint.Modified, &digest, &reason, &stale)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	if err != nil {
		return 0, told(l.dir, err)
	}
	copy(was.Fingerprint.Digest[:], digest)
	if !usable(was, k, reason, stale) {
		return 0, nil
	}
	return id, nil
}

// Latest returns the last outcome for a key, whatever its fingerprint, that --fresh did not put aside; 0 where
// there is none.
func (l *Ledger) Latest(k Key) (id ID, err error) {
	err = l.db.QueryRow(`SELECT id FROM outcome WHERE path = ? AND settings = ? AND version = ? AND NOT stale
		ORDER BY id DESC LIMIT 1`, k.Path, k.Settings, k.Version).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return id, told(l.dir, err)
}

// Commit keeps an outcome. When it returns without an error, the outcome is there whatever happens
// to program or machine.
func (l *Ledger) Commit(k Key, o Outcome) (ID, error) { return l.insert(Record{k, o, now()}) }

func (l *Ledger) insert(r Record) (ID, error) {
	p := r.Fingerprint
	made, err := l.db.Exec(`INSERT INTO outcome
		(path, settings, version, bytes, modified_ns, digest, reason, error, body, made)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		r.Path, r.Settings, r.Version, p.Bytes, p.Modified, p.Digest[:],
		r.Reason, r.Error, r.Measurement, r.Made)
	if err != nil {
		return 0, told(l.dir, err)
	}
	id, err := made.LastInsertId()
	return ID(id), told(l.dir, err)
}

// A Record is an outcome with all that a ledger keeps of it.
type Record struct {
	Key
	Outcome
	Made string // when, as RFC 3339 in UTC
}

// Record returns an outcome with all that is kept of it.
func (l *Ledger) Record(id ID) (r Record, err error) {
	var digest []byte
	err = l.db.QueryRow(`SELECT path, settings, version, bytes, modified_ns, digest, reason, error, body, made
		FROM outcome WHERE id = ?`, id).Scan(&r.Path, &r.Settings, &r.Version, &r.Fingerprint.Bytes,
		&r.Fingerprint.Modified, &digest, &r.Reason, &r.Error, &r.Measurement, &r.Made)
	copy(r.Fingerprint.Digest[:], digest)
	return r, told(l.dir, err)
}

// Adopt keeps an outcome of another ledger as it was kept there, once.
func (l *Ledger) Adopt(r Record) (id ID, err error) {
	p := r.Fingerprint
	err = l.db.QueryRow(`SELECT id FROM outcome WHERE path = ? AND settings = ? AND version = ? AND bytes = ?
		AND modified_ns = ? AND digest = ? AND reason = ? AND error = ? AND body IS ? AND made = ?`,
		r.Path, r.Settings, r.Version, p.Bytes, p.Modified, p.Digest[:], r.Reason, r.Error, r.Measurement, r.Made).Scan(&id)
	if !errors.Is(err, sql.ErrNoRows) {
		return id, told(l.dir, err)
	}
	return l.insert(r)
}

// Outcome returns an outcome.
func (l *Ledger) Outcome(id ID) (o Outcome, err error) {
	err = l.db.QueryRow("SELECT reason, error, body FROM outcome WHERE id = ?", id).
		Scan(&o.Reason, &o.Error, &o.Measurement)
	return o, told(l.dir, err)
}

func now() string { return time.Now().UTC().Format(time.RFC3339) }
