package ledger

import (
	"database/sql"
	"fmt"
	"strings"
)

// applicationID marks a database as a ledger, in its header: "StLe".
const applicationID = 0x53744c65

// layout holds what brings a ledger from one version of its schema to the next: the first entry
// makes version 1. Entries are added, none is changed.
var layout = []string{`
CREATE TABLE outcome (           -- what measuring a clip came to
  id          INTEGER PRIMARY KEY,
  path        TEXT    NOT NULL,  -- of the clip, as given
  settings    TEXT    NOT NULL,  -- those that measuring depends on, as a digest
  version     TEXT    NOT NULL,  -- of the program that measured
  bytes       INTEGER NOT NULL,  -- of the clip's files
  modified_ns INTEGER NOT NULL,  -- the latest time of the clip's files
  digest      BLOB    NOT NULL,  -- of head, middle and tail of the clip's files
  reason      TEXT    NOT NULL,  -- why there is no measurement; '' for a measurement
  error       TEXT    NOT NULL,  -- what the user is told of it
  body        BLOB,              -- the measurement
  made        TEXT    NOT NULL,  -- when
  stale       INTEGER NOT NULL DEFAULT 0 -- not to be used any more
) STRICT;
CREATE INDEX outcome_of ON outcome (path, settings, id);

CREATE TABLE report (            -- that the files of the folder are
  id          INTEGER PRIMARY KEY CHECK (id = 1),
  made        TEXT    NOT NULL,
  complete    INTEGER NOT NULL,  -- every entry was reached
  head        BLOB               -- the report without its clips
) STRICT;

CREATE TABLE entry (             -- of the report
  place       INTEGER PRIMARY KEY, -- from 0
  name        TEXT    NOT NULL,  -- as shown
  path        TEXT    NOT NULL,  -- as opened
  error       TEXT    NOT NULL,  -- why there is nothing to measure
  outcome     INTEGER REFERENCES outcome, -- NULL where it is not reached
  recorded_on TEXT,    -- the rest is derived from outcomes in order
  camera      TEXT,
  curve       TEXT,
  iso         INTEGER,
  method      TEXT,    -- by which grey was found
  placement   REAL,    -- stops over nominal
  low         REAL,
  high        REAL,
  floor       REAL,    -- recorded stops
  shadows_db  REAL,    -- signal-to-noise 4 stops under grey, after the correction
  clipped     REAL,    -- share of the frame, any channel
  headroom    REAL,    -- stops
  action      TEXT,    -- NULL without a measurement
  offset      REAL,    -- stops to apply
  level       TEXT     -- of the gravest finding
) STRICT;

CREATE TABLE picture (           -- of a clip, written beside the ledger
  key         BLOB    PRIMARY KEY, -- digest of all that they show
  names       BLOB    NOT NULL   -- of their files
) STRICT, WITHOUT ROWID;
`}

// lay lays out an empty database.
func lay(db *sql.DB, layout []string) error {
	if _, err := db.Exec(fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
		return err
	}
	return upgrade(db, layout, 0)
}

// upgrade brings a ledger of an earlier version to the present one, in one transaction.
func upgrade(db *sql.DB, layout []string, from int) error {
	return inTransaction(db, func(tx *sql.Tx) error {
		for _, step := range layout[from:] {
			if _, err := tx.Exec(step); err != nil {
				return err
			}
		}
		_, err := tx.Exec(fmt.Sprintf("PRAGMA user_version = %d", len(layout)))
		return err
	})
}

// versionOf returns the version of a database's schema.
func versionOf(db *sql.DB) (version int, err error) {
	err = db.QueryRow("PRAGMA user_version").Scan(&version)
	return version, err
}

// laidOut returns what a database holds by its own account, to be compared: names and statements of
// tables, indices, views and triggers.
func laidOut(db *sql.DB) (string, error) {
	rows, err := db.Query("SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name")
	if err != nil {
		return "", err
	}
	defer rows.Close()
	var b strings.Builder
	for rows.Next() {
		var kind, name, table, statement string
		if err := rows.Scan(&kind, &name, &table, &statement); err != nil {
			return "", err
		}
		fmt.Fprintf(&b, "%s %s %s %s\n", kind, name, table, statement)
	}
	return b.String(), rows.Err()
}

// checkLaidOut refuses a database that is laid out in any other way than a ledger of its version: it
// may come from anywhere, with triggers and views that do what they like.
func checkLaidOut(db *sql.DB, layout []string) error {
	model, err := connect("", nil)
	if err != nil {
		return err
	}
	defer model.Close()
	if err := lay(model, layout); err != nil {
		return err
	}
	want, err := laidOut(model)
	if err != nil {
		return err
	}
	got, err := laidOut(db)
	if err != nil {
		return err
	}
	if got != want {
		return errForeign
	}
	return nil
}

func inTransaction(db *sql.DB, do func(*sql.Tx) error) error {
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	if err := do(tx); err != nil {
		_ = tx.Rollback() // the first error is told
		return err
	}
	return tx.Commit()
}
