package ledger

import (
	"database/sql"
	"errors"
)

// Pictures returns the names of the picture files that show what a digest stands for; nil where they
// were not written.
func (l *Ledger) Pictures(of Digest) (names []byte, err error) {
	err = l.db.QueryRow("SELECT names FROM picture WHERE key = ?", of[:]).Scan(&names)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return names, told(l.dir, err)
}

// KeepPictures keeps the names of picture files that are written.
func (l *Ledger) KeepPictures(of Digest, names []byte) error {
	_, err := l.db.Exec("INSERT OR REPLACE INTO picture (key, names) VALUES (?, ?)", of[:], names)
	return told(l.dir, err)
}

// ForgetPictures forgets all pictures but those of some digests.
func (l *Ledger) ForgetPictures(but map[Digest]bool) error {
	err := inTransaction(l.db, func(tx *sql.Tx) error {
		gone, err := unlisted(tx, but)
		if err != nil {
			return err
		}
		for _, key := range gone {
			if _, err := tx.Exec("DELETE FROM picture WHERE key = ?", key[:]); err != nil {
				return err
			}
		}
		return nil
	})
	return told(l.dir, err)
}

func unlisted(tx *sql.Tx, listed map[Digest]bool) (keys []Digest, err error) {
	rows, err := tx.Query("SELECT key FROM picture")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var b []byte
		var key Digest
		if err := rows.Scan(&b); err != nil {
			return nil, err
		}
		if copy(key[:], b); !listed[key] {
			keys = append(keys, key)
		}
	}
	return keys, rows.Err()
}
