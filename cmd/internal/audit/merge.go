package audit

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"stopledger/cmd/internal/card"
	"stopledger/report"
	"stopledger/report/ledger"
)

// A Merge makes one report of several: of the shards of a run, or of any audits with the same settings.
type Merge struct {
	Tool report.Tool                  // that merges
	Dirs []string                     // folders of the reports
	Into *Folder                      // of the one report
	Note func(line string)            // takes what the user should know
	Done func(*report.Document) error // takes the document once it is written

	parts []*part
	lacks bool // a part is missing
}

// Run merges the reports and writes the one. What is taken of each clip is its measurement: the report
// is what one undisturbed run over all of them would have written, in the order of paths. Pictures
// are copied. The document is not complete where a part is missing. The error is a MergeError where
// the reports cannot be one, or that of Done.
func (m *Merge) Run(ctx context.Context) error {
	defer m.close()
	if err := m.open(); err != nil {
		return err
	}
	if err := alike(m.parts); err != nil {
		return err
	}
	merged := m.mergedFrom()
	pieces, err := m.pieces(merged)
	if err != nil {
		return err
	}
	l, err := m.Into.Ledger(false)
	if err != nil {
		return err
	}
	defer l.Close()
	doc, err := m.write(ctx, l, merged, pieces)
	if err != nil {
		return err
	}
	return m.Done(doc)
}

// open opens the folders; one that cannot be read is told, and the report is then not complete.
func (m *Merge) open() error {
	into, err := os.Stat(m.Into.Dir)
	if err != nil {
		return err
	}
	var last error
	var named []os.FileInfo
	for _, dir := range m.Dirs {
		info, err := os.Stat(dir)
		same := func(other os.FileInfo) bool { return err == nil && os.SameFile(info, other) }
		if slices.ContainsFunc(named, same) {
			continue // named twice
		}
		named = append(named, info)
		if same(into) {
			return refuse("--out %s is one of the folders to merge: %s", m.Into.Dir, elsewhere)
		}
		p, err := openPart(dir)
		if err != nil {
			m.Note("not merged: " + err.Error())
			m.lacks, last = true, err
			continue
		}
		m.parts, m.lacks = append(m.parts, p), m.lacks || p.lacks
	}
	if len(m.parts) == 0 {
		return fmt.Errorf("none of the folders can be merged: %w", last)
	}
	m.tellVersions()
	return m.checkShards()
}

// tellVersions tells that not all parts were measured by one version of the program.
func (m *Merge) tellVersions() {
	first := m.parts[0]
	for _, p := range m.parts[1:] {
		if a, b := first.head().Tool.Version, p.head().Tool.Version; a != b {
			m.Note(fmt.Sprintf("note: %s was measured by version %s of the program, and %s by version %s",
				first.dir, a, p.dir, b))
			return
		}
	}
}

func (m *Merge) close() {
	for _, p := range m.parts {
		p.close()
	}
}

// checkShards tells of shards that are missing.
func (m *Merge) checkShards() error {
	var first *part
	there := map[int]bool{}
	for _, p := range m.parts {
		switch {
		case p.share == nil:
			continue
		case first == nil:
			first = p
		case p.share.N != first.share.N:
			return refuse("%s is shard %v and %s is shard %v: merge shards of one number",
				first.dir, first.share, p.dir, p.share)
		case slices.Equal(p.share.Run, first.share.Run):
			p.share.Run = first.share.Run // one list of many clips is enough
		}
		there[p.share.K] = true
	}
	for k := 1; first != nil && k <= first.share.N; k++ {
		if !there[k] {
			m.Note(fmt.Sprintf("shard %v is missing: the report is not complete", Shard{k, first.share.N}))
			m.lacks = true
		}
	}
	return nil
}

// mergedFrom says of what the report can be made: of measurements, or, where a part has none that can be
// read, of documents.
func (m *Merge) mergedFrom() Merged {
	for _, p := range m.parts {
		if p.derived == nil {
			return MergedDocuments
		}
	}
	return MergedMeasurements
}

// pieces are what the report is to hold, in order: of each path one.
func (m *Merge) pieces(merged Merged) ([]piece, error) {
	order := newOrder(m.parts)
	chosen := map[position]*piece{}
	for _, p := range m.parts {
		if merged == MergedDocuments {
			if err := p.documents(); err != nil {
				return nil, err
			}
		}
		list, err := p.pieces()
		if err != nil {
			return nil, err
		}
		for i := range list {
			at := order.of(&list[i])
			if chosen[at], err = m.choose(chosen[at], &list[i]); err != nil {
				return nil, err
			}
		}
	}
	for at, e := range order.run { // what no part has is not reached
		if chosen[at] == nil {
			chosen[at] = &piece{entry: ledger.Entry{Name: e.Name, Path: e.Path}}
		}
	}
	places := make([]position, 0, len(chosen))
	for at := range chosen {
		places = append(places, at)
	}
	slices.SortFunc(places, position.compare)
	pieces := make([]piece, len(places))
	for i, at := range places {
		pieces[i] = *chosen[at]
	}
	return pieces, nil
}

// choose takes one of two pieces of one path: the later measurement of the same file.
func (m *Merge) choose(a, b *piece) (*piece, error) {
	switch {
	case a == nil:
		return b, nil
	case !a.measured() || !b.measured():
		if rank(a) > rank(b) {
			return a, nil
		}
		return b, nil
	case !a.same(b):
		return nil, refuse("%s in %s is another file than in %s, or has changed since: merge them apart, "+
			"or audit them from folders of different names", b.entry.Name, b.of.dir, a.of.dir)
	}
	later := b
	if a.made.After(b.made) {
		later = a
	}
	m.Note(fmt.Sprintf("%s is in %s and %s: the later measurement is taken, of %s",
		a.entry.Name, a.of.dir, b.of.dir, later.of.dir))
	return later, nil
}

// rank orders what became of an entry: not reached, failed, measured.
func rank(p *piece) int {
	switch {
	case p.measured():
		return 2
	case p.entry.Error != "":
		return 1
	}
	return 0
}

// A position is an entry's place in a merged report: that of its path.
type position struct {
	root int    // which of the paths asked for
	path string // below that; the whole path where the parts are not shards of one run
}

func (p position) compare(q position) int {
	return cmp.Or(cmp.Compare(p.root, q.root), card.ByPath(p.path, q.path))
}

// An order tells the positions of pieces.
type order struct {
	run map[position]Listed // of all shards of one run; empty without
	at  map[string]position // by paths of entries
}

func newOrder(parts []*part) order {
	o := order{map[position]Listed{}, map[string]position{}}
	for _, p := range parts {
		if p.share == nil || p.share.Run == nil {
			return order{} // whole runs, or mixed: by path alone
		}
	}
	for _, p := range parts {
		for _, e := range p.share.Run {
			at := position{e.Root, e.Below}
			if _, known := o.run[at]; !known {
				o.run[at] = e
			}
			o.at[e.Path], o.at[report.PlainPath(e.Path)] = at, at
			o.at[report.PlainPath(e.Name)] = at // as documents name what is not reached
		}
	}
	return o
}

func (o order) of(p *piece) position {
	if at, known := o.at[p.entry.Path]; known {
		return at
	}
	return position{0, filepath.ToSlash(p.entry.Path)}
}

// write writes the report, unless a fuller one lies in its folder.
func (m *Merge) write(ctx context.Context, l *ledger.Ledger, merged Merged, pieces []piece) (*report.Document, error) {
	head := m.parts[0].head()
	head.Tool, head.Share, head.Merged, head.Skipped = m.Tool, nil, merged, m.skipped()
	d := &Derived{Head: head, Ledger: l, Folder: m.Into.Dir, Entries: make([]ledger.Entry, len(pieces))}
	document := m.fromMeasurements
	if merged == MergedDocuments {
		document = m.fromDocuments
	}
	doc, err := document(ctx, d, pieces)
	if err != nil {
		return nil, err
	}
	if doc.Complete = doc.Complete && !m.lacks; !doc.Complete && m.Into.Fuller(doc.Measured()) {
		m.Note(fmt.Sprintf("the report in %s stays, as it is fuller", m.Into.Dir))
		return doc, nil
	}
	if err := d.keep(doc.Complete); err != nil {
		return doc, err
	}
	return doc, WriteAudit(m.Into.Dir, doc)
}

// fromMeasurements derives the document, once the measurements are in the ledger of the one report.
func (m *Merge) fromMeasurements(ctx context.Context, d *Derived, pieces []piece) (*report.Document, error) {
	for i, p := range pieces {
		d.Entries[i] = p.entry
		if p.entry.Outcome == 0 {
			continue
		}
		r, err := p.of.ledger.Record(p.entry.Outcome)
		if err != nil {
			return nil, err
		}
		if d.Entries[i].Outcome, err = d.Ledger.Adopt(r); err != nil {
			return nil, err
		}
	}
	err := d.Each(func(place int, c *report.Clip) error {
		if err := ctx.Err(); err != nil || c.Pictures != nil {
			return err
		}
		return pieces[place].of.copyKept(c, d.Ledger, d.Folder)
	})
	if err != nil {
		return nil, err
	}
	return d.Document()
}

// fromDocuments puts the clips of documents together as they are.
func (m *Merge) fromDocuments(ctx context.Context, d *Derived, pieces []piece) (*report.Document, error) {
	doc := &report.Document{Schema: report.Schema, Tool: d.Tool, Settings: d.Settings, Skipped: d.Skipped,
		Clips: []report.Clip{}, Failed: []report.Failure{}}
	for i, p := range pieces {
		switch d.Entries[i] = p.entry; {
		case p.clip != nil:
			c := *p.clip
			if err := cmp.Or(ctx.Err(), p.of.copyPictures(c.Pictures, d.Folder)); err != nil {
				return nil, err
			}
			if !allThere(d.Folder, c.Pictures) {
				c.Pictures = nil
			}
			doc.Clips = append(doc.Clips, c)
		case p.entry.Error != "":
			doc.Failed = append(doc.Failed, report.Failure{Path: p.entry.Name, Error: p.entry.Error})
		default:
			doc.NotReached = append(doc.NotReached, p.entry.Name)
		}
	}
	doc.Complete = len(doc.NotReached) == 0
	return doc, nil
}

// skipped is what no part tried, each once.
func (m *Merge) skipped() []report.Skip {
	seen := map[report.Skip]bool{}
	all := []report.Skip{}
	for _, p := range m.parts {
		for _, s := range p.head().Skipped {
			if !seen[s] {
				seen[s] = true
				all = append(all, s)
			}
		}
	}
	return all
}
