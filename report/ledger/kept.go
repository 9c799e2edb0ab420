package ledger

import (
	"database/sql"
	"errors"

	"stopledger/curve"
)

// A Report is what the files of a folder are of: paths in order, and what became of each.
type Report struct {
	Head     []byte  // the report without its clips
	Complete bool    // every entry was reached
	Entries  []Entry // in order
}

// An Entry is a path of a report.
type Entry struct {
	Name    string // as shown
	Path    string // as opened
	Error   string // why there is nothing to measure; "" for a clip
	Outcome ID     // 0 where it is not reached, or there is nothing to measure
	Facts   *Facts // of a clip that was measured; nil for none
}

// Facts are what is asked of many clips at once, as their documents have them. They are derived from
// measurements, and kept so that many audits can be searched without deriving them again.
type Facts struct {
	RecordedOn string         // when, RFC 3339 in the zone that the recording names; "" where it does not say
	Camera     string         // make and model; "" where unknown
	Curve      string         // read with
	ISO        int            // 0 where unknown
	Method     string         // by which grey was found; "" for none
	Placement  curve.Stops    // over nominal
	Low, High  curve.Stops    // 95 % interval of the placement
	Floor      curve.Stops    // recorded stops at which the signal equals the noise
	Shadows    curve.Decibels // signal-to-noise four stops under grey, after the correction
	Clipped    curve.Share    // of the frame, in at least one channel
	Headroom   curve.Stops    // from the brightest unclipped content to the ceiling
	Action     string         // pull, lift, hold or none
	Offset     curve.Stops    // to apply
	Level      string         // of the gravest finding; "" without one
}

const (
	entryColumns = `name, path, error, outcome, recorded_on, camera, curve, iso, method, placement, low, high, floor,
		shadows_db, clipped, headroom, action, offset, level`
	// unneeded are outcomes that neither the report nor resuming needs.
	unneeded = `id NOT IN (SELECT outcome FROM entry WHERE outcome IS NOT NULL)
		AND (stale OR id NOT IN (SELECT max(id) FROM outcome GROUP BY path, settings))`
)

// KeepReport keeps what the files of the folder are to be of, instead of what they were of before.
// Outcomes that neither this nor resuming needs are forgotten.
func (l *Ledger) KeepReport(r Report) error {
	err := inTransaction(l.db, func(tx *sql.Tx) error {
		if _, err := tx.Exec("INSERT OR REPLACE INTO report (id, made, complete, head) VALUES (1, ?, ?, ?)",
			now(), r.Complete, r.Head); err != nil {
			return err
		}
		if _, err := tx.Exec("DELETE FROM entry"); err != nil {
			return err
		}
		if err := keepEntries(tx, r.Entries); err != nil {
			return err
		}
		_, err := tx.Exec("DELETE FROM outcome WHERE " + unneeded)
		return err
	})
	return told(l.dir, err)
}

func keepEntries(tx *sql.Tx, entries []Entry) error {
	add, err := tx.Prepare("INSERT INTO entry (place, " + entryColumns +
		") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer add.Close()
	for place, e := range entries {
		values := []any{place, e.Name, e.Path, e.Error, sql.NullInt64{Int64: int64(e.Outcome), Valid: e.Outcome != 0}}
		if _, err := add.Exec(append(values, e.Facts.values()...)...); err != nil {
			return err
		}
	}
	return nil
}

// values are a row's; SQLite keeps what is unknown, NaN, as NULL.
func (f *Facts) values() []any {
	if f == nil {
		return make([]any, 15)
	}
	return []any{f.RecordedOn, f.Camera, f.Curve, f.ISO, f.Method, float64(f.Placement), float64(f.Low), float64(f.High),
		float64(f.Floor), float64(f.Shadows), float64(f.Clipped), float64(f.Headroom), f.Action, float64(f.Offset), f.Level}
}

// Report returns what the files of the folder are of; nil where none were written yet.
func (l *Ledger) Report() (*Report, error) {
	r := &Report{}
	err := l.db.QueryRow("SELECT head, complete FROM report").Scan(&r.Head, &r.Complete)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err == nil {
		r.Entries, err = entriesOf(l.db)
	}
	return r, told(l.dir, err)
}

func entriesOf(db *sql.DB) (entries []Entry, err error) {
	rows, err := db.Query("SELECT " + entryColumns + " FROM entry ORDER BY place")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var e Entry
		var f Facts
		var action sql.NullString
		if err := rows.Scan(&e.Name, &e.Path, &e.Error, orZero(&e.Outcome), orZero(&f.RecordedOn), orZero(&f.Camera),
			orZero(&f.Curve), orZero(&f.ISO), orZero(&f.Method), orUnknown(&f.Placement), orUnknown(&f.Low),
			orUnknown(&f.High), orUnknown(&f.Floor), orUnknown(&f.Shadows), orUnknown(&f.Clipped),
			orUnknown(&f.Headroom), &action, orUnknown(&f.Offset), orZero(&f.Level)); err != nil {
			return nil, err
		}
		if f.Action = action.String; action.Valid {
			e.Facts = &f
		}
		entries = append(entries, e)
	}
	return entries, rows.Err()
}

// A column scans a value into to, and NULL as another.
type column[T any] struct {
	to   *T
	null T
}

func orZero[T any](to *T) sql.Scanner { return column[T]{to: to} }

func orUnknown[T ~float64](to *T) sql.Scanner { return column[T]{to, curve.Unknown[T]()} }

func (c column[T]) Scan(v any) error {
	var scanned sql.Null[T]
	err := scanned.Scan(v)
	if *c.to = scanned.V; !scanned.Valid {
		*c.to = c.null
	}
	return err
}
