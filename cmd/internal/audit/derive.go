package audit

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"stopledger/analyze"
	"stopledger/cmd/internal/exact"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/ledger"
)

// A Derived is a report that is made of measurements in a ledger, in order, each with the grey of
// those before it.
type Derived struct {
	Head
	Ledger  *ledger.Ledger
	Folder  string // of the report; "" for none
	Entries []ledger.Entry

	shown map[ledger.Digest]bool // by pictures that are there
}

// A Head is a report without its clips.
type Head struct {
	Tool     report.Tool
	Settings analyze.Settings
	Skipped  []report.Skip
	Share    *Share // of a run in parts; nil for a whole one
	Merged   Merged // from other reports
}

// A Merged says whether a report was merged from others, and of what it is made.
type Merged string

// What a merged report is made of.
const (
	NotMerged          Merged = ""
	MergedMeasurements Merged = "measurements" // in the ledger
	MergedDocuments    Merged = "documents"    // as they are: the ledger has no measurements
)

// Each hands on the clips' documents with their places among the entries. One is held at a time.
func (d *Derived) Each(visit func(place int, c *report.Clip) error) error {
	var held *report.Clip
	for place, e := range d.Entries {
		if e.Outcome == 0 {
			continue
		}
		o, err := d.Ledger.Outcome(e.Outcome)
		if err != nil {
			return err
		}
		if o.Reason != ledger.Measured {
			continue
		}
		m, err := MeasurementFrom(o.Measurement, d.Settings)
		if err != nil {
			return fmt.Errorf("what was measured of %s cannot be read (%w): give the audit's command again", e.Name, err)
		}
		clip := Conclude(m, d.Settings, held)
		clip.Pictures, _ = picturesOf(d.Ledger, d.Folder, &clip)
		if hasOwnGrey(clip.Placement) {
			held = &clip
		}
		if err := visit(place, &clip); err != nil {
			return err
		}
	}
	return nil
}

// Document returns the document, which does not hold its clips, and sets the facts of the entries.
func (d *Derived) Document() (*report.Document, error) {
	doc := &report.Document{Schema: report.Schema, Tool: d.Tool, Settings: d.Settings, Skipped: d.Skipped,
		Failed: []report.Failure{}}
	doc.Stream = &report.Stream{Each: func(visit func(int, *report.Clip) error) error {
		i := -1
		return d.Each(func(_ int, c *report.Clip) error { i++; return visit(i, c) })
	}}
	d.shown = map[ledger.Digest]bool{}
	if d.Share != nil {
		doc.Shard = d.Share.String()
	}
	measured := map[int]bool{}
	err := d.Each(func(place int, c *report.Clip) error {
		measured[place] = true
		doc.Stream.Add(c)
		d.Entries[place].Facts = factsOf(c)
		if c.Pictures != nil {
			d.shown[report.PictureKey(c)] = true
		}
		return nil
	})
	for place, e := range d.Entries {
		switch {
		case measured[place] || err != nil:
		case e.Error != "":
			doc.Failed = append(doc.Failed, report.Failure{Path: report.PlainPath(e.Name), Error: e.Error})
		default:
			doc.NotReached = append(doc.NotReached, report.PlainPath(e.Name))
		}
	}
	doc.Complete = len(doc.NotReached) == 0
	return doc, err
}

func notReached(e ledger.Entry) bool { return e.Outcome == 0 && e.Error == "" && e.Facts == nil }

// picturesOf returns the pictures of a document that lie in a folder, nil for none; known tells whether
// they were taken and are there whole, or there was nothing to show.
func picturesOf(l *ledger.Ledger, dir string, c *report.Clip) (p *report.Pictures, known bool) {
	if dir == "" {
		return nil, false
	}
	b, err := l.Pictures(report.PictureKey(c))
	if err != nil || b == nil || json.Unmarshal(b, &p) != nil || !allThere(dir, p) {
		return nil, false
	}
	return p, true
}

func allThere(dir string, p *report.Pictures) bool {
	if p == nil {
		return true
	}
	for _, name := range p.Files() {
		info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil || !info.Mode().IsRegular() || info.Size() == 0 {
			return false
		}
	}
	return true
}

// keep keeps in the ledger what the files of the report are to be of, once there is a document.
func (d *Derived) keep(complete bool) error {
	head, err := headCodec(d.Settings).Marshal(d.Head)
	if err != nil {
		return err
	}
	if err := d.Ledger.KeepReport(ledger.Report{Head: head, Complete: complete, Entries: d.Entries}); err != nil {
		return err
	}
	return d.Ledger.ForgetPictures(d.shown)
}

// reported returns what the report in a folder is of; nil where the ledger does not have it, or this
// program cannot make its documents: curves and display transforms that files held are not kept.
func reported(l *ledger.Ledger, dir string) (*Derived, error) {
	r, err := l.Report()
	if r == nil || err != nil {
		return nil, err
	}
	d := &Derived{Ledger: l, Folder: dir, Entries: r.Entries}
	err = headCodec(d.Settings).Unmarshal(r.Head, &d.Head)
	s := &d.Settings
	fromFile := s.Curve.Given != "" && s.Curve.Curve == nil || s.Assume.Given != "" && s.Assume.Curve == nil
	fromFile = fromFile || s.Display != nil
	if err != nil || d.Merged == MergedDocuments || fromFile {
		return nil, nil
	}
	if !r.Complete {
		err = d.recover()
	}
	return d, err
}

// recover finds what was committed of entries that the report does not have: the run that was at them did
// not live to write it.
func (d *Derived) recover() error {
	settings, err := settingsDigest(d.Settings)
	if err != nil {
		return err
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if !notReached(*e) {
			continue
		}
		id, err := d.Ledger.Latest(ledger.Key{Path: e.Path, Settings: settings, Version: d.Tool.Version})
		if err != nil {
			return err
		}
		if id == 0 {
			continue
		}
		o, err := d.Ledger.Outcome(id)
		if err != nil {
			return err
		}
		if e.Error = o.Error; o.Reason == ledger.Measured {
			e.Outcome = id
		}
	}
	return nil
}

// isPlanned tells whether a folder has a ledger of a run, which may have been killed before its first report.
func isPlanned(dir string) bool {
	l, err := ledger.OpenReadOnly(dir)
	if err != nil {
		return false
	}
	defer l.Close()
	r, err := l.Report()
	return err == nil && r != nil
}

// isMerged tells whether the report in a folder was merged from others.
func isMerged(dir string) bool {
	l, err := ledger.OpenReadOnly(dir)
	if err != nil {
		return false
	}
	defer l.Close()
	r, err := l.Report()
	var head Head
	return err == nil && r != nil && headCodec(head.Settings).Unmarshal(r.Head, &head) == nil && head.Merged != NotMerged
}

func headCodec(s analyze.Settings) exact.Codec { return codecFor(s.ReadAs) }

// factsOf are what is asked of many clips at once.
func factsOf(c *report.Clip) *ledger.Facts {
	none := curve.Unknown[curve.Stops]()
	f := &ledger.Facts{RecordedOn: c.Recorded,
		Curve: c.Curve.Name, Placement: none, Low: none, High: none, Floor: c.Noise.Floor,
		Shadows: c.Advice.After.SNR, Clipped: c.Highlights.Clipped.Any, Headroom: c.Highlights.Headroom,
		Action: string(c.Advice.Action), Offset: c.Advice.Offset, Level: string(c.Advice.Worst())}
	if p := c.Placement; p != nil {
		f.Method, f.Placement, f.Low, f.High = string(p.Method), p.Stops, p.Low, p.High
	}
	if cam := c.Camera; cam != nil {
		f.Camera, f.ISO = cameraName(cam), isoOf(cam)
	}
	return f
}

func cameraName(c *metadata.Camera) string {
	switch {
	case c.Make == "":
		return c.Model
	case c.Model == "":
		return c.Make
	}
	return c.Make + " " + c.Model
}

func isoOf(c *metadata.Camera) int {
	switch {
	case c.ISO != nil:
		return int(*c.ISO)
	case c.ExposureIndex != nil:
		return int(*c.ExposureIndex)
	}
	return 0
}
