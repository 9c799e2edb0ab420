package audit

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"stopledger/analyze"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/worker"
	"stopledger/decode"
	"stopledger/report"
	"stopledger/report/ledger"
)

// A Keeper has clips measured and keeps what comes of it in a ledger, each clip the moment it is
// measured. What an earlier run kept of the same clip with the same settings is not measured again.
type Keeper struct {
	Ledger   *ledger.Ledger
	Version  string           // of the program
	Settings analyze.Settings // how clips are measured
	Folder   string           // of the report; "" for none
	Measure  Measurer         // of what is not kept
	Timeout  time.Duration    // after which a file that is read for its fingerprint is given up; 0 for never
	Share    *Share           // of a run in parts; nil for a whole one

	settings string // a digest of those that decide a measurement

	mu       sync.Mutex
	outcomes map[string]ledger.ID // of this run, by path
	written  []string             // pictures of this run
	full     error                // why there are no more pictures
	trouble  error                // with the ledger: the run ends
	stop     context.CancelFunc
}

// Begin makes ready for a run. The context ends when the ledger cannot be written any more; Trouble
// then says why.
func (k *Keeper) Begin(ctx context.Context) (context.Context, error) {
	digest, err := settingsDigest(k.Settings)
	if err != nil {
		return nil, err
	}
	k.settings, k.outcomes = digest, map[string]ledger.ID{}
	ctx, k.stop = context.WithCancel(ctx)
	return ctx, nil
}

// Trouble says why the run ended early; nil where the ledger took everything.
func (k *Keeper) Trouble() error {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.trouble
}

// Clip measures one clip as a Measurer does, unless it is kept.
func (k *Keeper) Clip(ctx context.Context, j Job) (report.Clip, error) {
	key := ledger.Key{Path: j.Path, Settings: k.settings, Version: k.Version}
	var none ledger.Fingerprint
	print, err := k.fingerprint(ctx, j)
	var stall *worker.Stall
	if errors.As(err, &stall) {
		return report.Clip{}, k.refuse(ctx, key, err)
	}
	if key.Fingerprint = print; err == nil {
		kept, err := k.find(key)
		switch {
		case err != nil:
			return report.Clip{}, k.fail(err)
		case kept.refused != nil:
			return report.Clip{}, kept.refused
		}
		j.Kept = kept.measurement
	}
	if k.isFull() != nil {
		j.Settings.Pictures = false
	}
	j.Keep = func(m *Measurement) error {
		if now, err := k.fingerprint(ctx, j); err == nil && print != none && now != print {
			return changed(j.Path)
		}
		return k.commit(key, m)
	}
	j.Pictured, j.KeepPictures = k.pictured, k.keepPictures
	if j.Kept != nil {
		if clip, done, err := j.fromKept(ctx); done {
			return clip, err
		}
	}
	clip, err := k.Measure(ctx, j)
	if err != nil && j.Kept == nil {
		return clip, k.refuse(ctx, key, err)
	}
	return clip, err
}

// fingerprint takes the fingerprint of a clip's files. Where reading them hangs, as on a network that is
// gone, the error says so and is a *worker.Stall.
func (k *Keeper) fingerprint(ctx context.Context, j Job) (ledger.Fingerprint, error) {
	type taken struct {
		print ledger.Fingerprint
		err   error
	}
	t, err := worker.Patiently(ctx, k.Timeout, func(reading func(path string)) taken {
		print, err := ledger.Take(reading, FilesOf(j)...)
		return taken{print, err}
	})
	var stall *worker.Stall
	if errors.As(err, &stall) {
		err = &decode.ClipError{Path: j.Path, What: stall.Error(), Err: err, Do: unanswered}
	}
	return t.print, cmp.Or(err, t.err)
}

// FilesOf returns the files that a clip is read from: its own, and the XML beside it.
func FilesOf(j Job) []string {
	files := slices.Clone(j.Files)
	if len(files) == 0 {
		files = []string{j.Path}
	}
	stem := strings.TrimSuffix(j.Path, filepath.Ext(j.Path))
	for _, tail := range []string{"M01.XML", "M01.xml", "m01.xml"} {
		if _, err := os.Stat(stem + tail); err == nil {
			files = append(files, stem+tail)
		}
	}
	return files
}

// kept is what an earlier run came to; neither for nothing that stands.
type kept struct {
	measurement *Measurement
	refused     error
}

// find looks for what an earlier run kept. Bytes that this program cannot read are measured again.
func (k *Keeper) find(key ledger.Key) (kept, error) {
	id, err := k.Ledger.Find(key)
	if err != nil || id == 0 {
		return kept{}, err
	}
	o, err := k.Ledger.Outcome(id)
	if err != nil {
		return kept{}, err
	}
	if o.Reason != ledger.Measured {
		k.note(key.Path, id)
		return kept{refused: refusedBefore(o.Error)}, nil
	}
	m, err := MeasurementFrom(o.Measurement, k.Settings)
	if err != nil {
		return kept{}, nil
	}
	k.note(key.Path, id)
	return kept{measurement: m}, nil
}

// refusedBefore is an error that an earlier run told of a clip, without its path.
type refusedBefore string

func (r refusedBefore) Error() string { return string(r) }

func (k *Keeper) note(path string, id ledger.ID) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.outcomes[path] = id
}

// commit keeps a measurement. Where the disk is full it makes room: numbers come before pictures.
func (k *Keeper) commit(key ledger.Key, m *Measurement) error {
	b, err := m.Bytes()
	if err != nil {
		return err
	}
	return k.keep(key, ledger.Outcome{Measurement: b})
}

func (k *Keeper) keep(key ledger.Key, o ledger.Outcome) error {
	id, err := k.Ledger.Commit(key, o)
	if ledger.Full(err) && k.dropPictures(err) {
		id, err = k.Ledger.Commit(key, o)
	}
	if err != nil {
		return k.fail(err)
	}
	k.note(key.Path, id)
	return nil
}

// refuse keeps why a clip was not measured, and returns it.
func (k *Keeper) refuse(ctx context.Context, key ledger.Key, err error) error {
	var pictures *PictureError
	if errors.As(err, &pictures) || ctx.Err() != nil || k.Trouble() != nil {
		return err
	}
	if kept := k.keep(key, ledger.Outcome{Reason: reasonOf(err), Error: failureText(err)}); kept != nil {
		return kept
	}
	return err
}

// reasonOf says why a clip was not measured.
func reasonOf(err error) ledger.Reason {
	var stall *worker.Stall
	var short *worker.OutOfMemory
	var clip *decode.ClipError
	var crash *worker.Crash
	switch {
	case errors.As(err, &stall):
		return ledger.OutOfTime
	case errors.As(err, &short), errors.Is(err, decode.ErrMemory):
		return ledger.OutOfRoom
	case errors.As(err, &crash), !errors.As(err, &clip): // or none could be started
		return ledger.Died
	}
	return ledger.Content
}

// fail ends the run, as what is measured from here on would be lost.
func (k *Keeper) fail(err error) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.trouble == nil {
		k.trouble = err
	}
	k.stop()
	return context.Canceled // the clip is not reached
}

// pictured returns the pictures of a document, where they were taken already.
func (k *Keeper) pictured(c *report.Clip) (p *report.Pictures, known bool) {
	return picturesOf(k.Ledger, k.Folder, c)
}

// keepPictures keeps that the pictures of a document were written, or why they were not.
func (k *Keeper) keepPictures(c *report.Clip, names *report.Pictures, trouble error) error {
	err := trouble
	if err == nil {
		var b []byte
		if b, err = json.Marshal(names); err == nil {
			err = k.Ledger.KeepPictures(report.PictureKey(c), b)
		}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if names != nil {
		k.written = append(k.written, names.Files()...)
	}
	if ledger.Full(err) && k.full == nil {
		k.full = err
	}
	return err
}

func (k *Keeper) isFull() error {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.full
}

// dropPictures removes the pictures that this run has written, and ends the taking of more. It
// reports whether that made room.
func (k *Keeper) dropPictures(why error) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.full = why
	made := false
	for _, name := range k.written {
		made = os.Remove(filepath.Join(k.Folder, filepath.FromSlash(name))) == nil || made
	}
	k.written = nil
	return made
}

// Plan keeps what the run is asked for where the folder has no report yet: a run that is killed before its
// first one is then known by what was committed.
func (k *Keeper) Plan(tool report.Tool, found card.Listing) error {
	if k.Folder == "" {
		return nil
	}
	r, err := k.Ledger.Report()
	if r != nil || err != nil {
		return err
	}
	return k.planned(tool, found).keep(false)
}

// Derived returns the report of this run, which is over: of the paths it was asked for, as the
// results tell what became of them.
func (k *Keeper) Derived(tool report.Tool, found card.Listing, res Results) *Derived {
	d := k.planned(tool, found)
	for i, e := range found.Entries {
		switch p := res.Places[i]; {
		case p.Measured:
			d.Entries[i].Outcome = k.outcomes[e.Path]
		default:
			d.Entries[i].Error = p.Error
		}
	}
	return d
}

// planned is a report of which nothing is reached yet.
func (k *Keeper) planned(tool report.Tool, found card.Listing) *Derived {
	d := &Derived{Ledger: k.Ledger, Folder: k.Folder,
		Head:    Head{Tool: tool, Settings: k.Settings, Skipped: found.Skipped, Share: k.Share},
		Entries: make([]ledger.Entry, len(found.Entries))}
	if !k.Settings.Pictures {
		d.Folder = ""
	}
	for i, e := range found.Entries {
		d.Entries[i] = ledger.Entry{Name: e.Name, Path: e.Path}
	}
	return d
}

// WriteAudit writes the report of a run into the folder, numbers first: where the disk is full,
// pictures of this run make room for them. doc is its document, which is not made again; it returns the
// document as it was written.
func (k *Keeper) WriteAudit(d *Derived, doc *report.Document) (*report.Document, error) {
	write := func() error {
		if err := d.keep(doc.Complete); err != nil {
			return err
		}
		return WriteAudit(k.Folder, doc)
	}
	err := write()
	if ledger.Full(err) && k.dropPictures(err) {
		if doc, err = d.Document(); err == nil {
			err = write()
		}
	}
	if err != nil {
		return doc, err
	}
	if full := k.isFull(); full != nil {
		return doc, fmt.Errorf("pictures were left out: make room and give the same command again (%w)", full)
	}
	return doc, nil
}
