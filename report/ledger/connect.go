package ledger

import (
	"context"
	"database/sql"
	"net/url"

	"github.com/mattn/go-sqlite3"
)

// FileName is the name of a ledger in the folder of a report.
const FileName = "ledger.sqlite"

// untrusted are settings of every connection: nothing that a file's schema says is run, and its
// pages are checked before they are used.
const untrusted = `
PRAGMA trusted_schema = OFF;
PRAGMA cell_size_check = ON;
PRAGMA mmap_size = 0;
PRAGMA foreign_keys = ON;
PRAGMA temp_store = MEMORY;
`

// connect opens the database of a path; "" is one of its own that is gone when it is closed. There
// is one connection: what one goroutine has begun, the next one waits for.
func connect(path string, options url.Values) (*sql.DB, error) {
	name := "file:" + (&url.URL{Path: path}).EscapedPath()
	query := url.Values{"_busy_timeout": {"5000"}, "_synchronous": {"FULL"}, "_txlock": {"immediate"}}
	for key, value := range options {
		query[key] = value
	}
	db, err := sql.Open("sqlite3", name+"?"+query.Encode())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	db.SetMaxIdleConns(1)
	if err := distrust(db); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// distrust sets what holds for every file, and bounds what is read of one at a time.
func distrust(db *sql.DB) error {
	const most = 256 << 20 // bytes of a row: a measurement has some hundred thousand
	conn, err := db.Conn(context.Background())
	if err != nil {
		return err
	}
	defer conn.Close() // it goes back and is used again
	err = conn.Raw(func(driver any) error {
		driver.(*sqlite3.SQLiteConn).SetLimit(sqlite3.SQLITE_LIMIT_LENGTH, most)
		return nil
	})
	if err != nil {
		return err
	}
	_, err = conn.ExecContext(context.Background(), untrusted)
	return err
}
