package audit

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"stopledger/report"
	"stopledger/report/ledger"
)

// A part is the folder of a report that is merged with others.
type part struct {
	dir     string
	lock    *ledger.Lock     // nil where the folder cannot be written
	ledger  *ledger.Ledger   // nil without one
	derived *Derived         // nil where there are no measurements that this program can read
	doc     *report.Document // without them
	made    time.Time        // of doc
	share   *Share           // nil for a whole run; without its entries where only doc tells of it

	settings string // digest of those that measuring depends on, by version; "" where it is not known
	lacks    bool   // it is not complete, and does not name what is not reached
}

// openPart opens the folder of a report to be read. The error says what is wrong with it.
func openPart(dir string) (*part, error) {
	p := &part{dir: dir}
	lock, err := ledger.LockFolder(dir)
	switch {
	case errors.Is(err, ledger.ErrInUse):
		return nil, err
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such folder", dir)
	}
	p.lock = lock // without one the folder may be read all the same
	if err := p.read(); err != nil {
		p.close()
		return nil, err
	}
	return p, nil
}

func (p *part) read() (err error) {
	p.ledger, err = ledger.OpenReadOnly(p.dir)
	if err == nil {
		p.derived, err = reported(p.ledger, p.dir)
	}
	if err != nil && !errors.Is(err, ledger.ErrMissing) {
		return err
	}
	if p.ledger != nil {
		if err := p.readLedger(); err != nil {
			return err
		}
	}
	if p.derived == nil {
		return p.readDocument()
	}
	return nil
}

// readLedger looks at what the ledger has. Measurements that this program cannot read are left.
func (p *part) readLedger() error {
	r, err := p.ledger.Report()
	if err != nil {
		return err
	}
	if r == nil {
		return fmt.Errorf("%s: its audit has not ended: give its command again", p.dir)
	}
	var head Head
	if headCodec(head.Settings).Unmarshal(r.Head, &head) == nil {
		p.share = head.Share
	}
	p.lacks = !r.Complete && !slices.ContainsFunc(r.Entries, notReached)
	entries := r.Entries
	if p.derived != nil {
		entries = p.derived.Entries // with what was committed since
	}
	for _, e := range entries {
		if e.Outcome == 0 {
			continue
		}
		made, err := p.ledger.Record(e.Outcome)
		if err != nil {
			return err
		}
		if p.settings = made.Version + " " + made.Settings; made.Reason != ledger.Measured || p.derived == nil {
			continue
		}
		if _, err := MeasurementFrom(made.Measurement, p.derived.Settings); err != nil {
			p.derived = nil
		}
		break // the others are of the same program, or were read by it
	}
	return nil
}

// readDocument reads the document of a folder without measurements that this program can read.
func (p *part) readDocument() (err error) {
	if p.doc, err = readDocument(p.dir, auditDocument, report.ReadJSON); err != nil {
		return err
	}
	p.lacks = !p.doc.Complete && len(p.doc.NotReached) == 0
	if info, err := os.Stat(filepath.Join(p.dir, auditDocument)); err == nil {
		p.made = info.ModTime()
	}
	if s, ok := ParseShard(p.doc.Shard); ok && p.share == nil {
		p.share = &Share{Shard: s}
	}
	return nil
}

func (p *part) close() {
	if p.ledger != nil {
		p.ledger.Close()
	}
	if p.lock != nil {
		p.lock.Release()
	}
}

// head is the part's report without its clips.
func (p *part) head() Head {
	if p.derived != nil {
		return p.derived.Head
	}
	return Head{Tool: p.doc.Tool, Settings: p.doc.Settings, Skipped: p.doc.Skipped}
}

// A piece is one entry of a part.
type piece struct {
	of    *part
	entry ledger.Entry
	print ledger.Fingerprint // of what was measured; its bytes alone where there are only documents
	made  time.Time          // when
	clip  *report.Clip       // of a part without measurements
}

// pieces are the entries of a part in order.
func (p *part) pieces() ([]piece, error) {
	if p.derived == nil {
		return p.documented(), nil
	}
	list := make([]piece, len(p.derived.Entries))
	for i, e := range p.derived.Entries {
		e.Facts = nil
		list[i] = piece{of: p, entry: e}
		if e.Outcome == 0 {
			continue
		}
		r, err := p.ledger.Record(e.Outcome)
		if err != nil {
			return nil, err
		}
		list[i].print = r.Fingerprint
		list[i].made, _ = time.Parse(time.RFC3339, r.Made)
	}
	return list, nil
}

func (p *part) documented() (list []piece) {
	for i := range p.doc.Clips {
		c := &p.doc.Clips[i]
		list = append(list, piece{of: p, clip: c, made: p.made, print: ledger.Fingerprint{Bytes: c.Bytes},
			entry: ledger.Entry{Name: c.Path, Path: c.Path, Facts: factsOf(c)}})
	}
	for _, f := range p.doc.Failed {
		list = append(list, piece{of: p, entry: ledger.Entry{Name: f.Path, Path: f.Path, Error: f.Error}})
	}
	for _, path := range p.doc.NotReached {
		list = append(list, piece{of: p, entry: ledger.Entry{Name: path, Path: path}})
	}
	return list
}

// documents turns a part into one of documents, as others are.
func (p *part) documents() error {
	if p.derived == nil {
		return nil
	}
	p.derived = nil
	return p.readDocument()
}

// measured tells whether a piece is of a measured clip.
func (p *piece) measured() bool { return p.entry.Outcome != 0 || p.clip != nil }

// same tells whether two pieces are of the same file as it was. Where there are only documents, its
// size has to do.
func (p *piece) same(q *piece) bool {
	if p.clip != nil || q.clip != nil {
		return p.print.Bytes == q.print.Bytes
	}
	return p.print == q.print
}
