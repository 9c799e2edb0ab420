// Package history reads the ledgers of many audits and sums their clips up by day, camera and ISO.
package history

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/ledger"
)

// A Question is what is asked of ledgers.
type Question struct {
	Folders []string       // of audits, or with such in them
	Since   string         // first day, year-month-day; "" for all
	Camera  string         // part of a camera's name, without case; "" for all
	Zone    *time.Location // of days told by the time of a file
}

// Read answers a question. A ledger that cannot be read is told among the unread; the error is that of
// a folder with none in it, or of ctx.
func Read(ctx context.Context, q Question) (*report.Days, error) {
	d := &report.Days{Schema: report.DaysSchema, Since: q.Since, Camera: q.Camera}
	var all []ledger.Clip
	for _, folder := range q.Folders {
		dirs, err := audits(ctx, folder)
		if err != nil {
			return nil, err
		}
		for _, dir := range dirs {
			if slices.Contains(d.Audits, dir) {
				continue
			}
			clips, err := clipsOf(dir)
			if err != nil {
				d.Unread = append(d.Unread, report.Failure{Path: report.PlainPath(dir), Error: err.Error()})
				continue
			}
			d.Audits, all = append(d.Audits, dir), append(all, clips...)
		}
	}
	for i, dir := range d.Audits {
		d.Audits[i] = report.PlainPath(dir)
	}
	q.sumUp(d, latest(all, &d.Again))
	return d, nil
}

// audits returns the folders with ledgers at and below one, in order. Links are not followed.
func audits(ctx context.Context, folder string) (dirs []string, err error) {
	err = filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil && path == folder:
			return err
		case err == nil && !e.IsDir() && e.Name() == ledger.FileName:
			dirs = append(dirs, filepath.Dir(path))
		}
		return nil // what cannot be read below holds no audit that could be
	})
	if err == nil && len(dirs) == 0 {
		err = fmt.Errorf("%s: there is no ledger in this folder or below; name one that stopledger audit --out wrote", folder)
	}
	return dirs, err
}

func clipsOf(dir string) (clips []ledger.Clip, err error) {
	l, err := ledger.OpenReadOnly(dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	return l.Clips()
}

// latest leaves of clips with one fingerprint, under one path or several, the one that was measured
// last; again counts the others.
func latest(all []ledger.Clip, again *int) (clips []ledger.Clip) {
	at := map[any]int{}
	for _, c := range all {
		var same any = c.Fingerprint
		if c.Fingerprint.Digest == (ledger.Digest{}) { // its files could not be read when it was taken
			same = c.Path
		}
		i, seen := at[same]
		switch {
		case !seen:
			at[same] = len(clips)
			clips = append(clips, c)
			continue
		case c.Made >= clips[i].Made:
			clips[i] = c
		}
		*again++
	}
	return clips
}

// sumUp sums clips up by day, and by camera and ISO.
func (q Question) sumUp(d *report.Days, clips []ledger.Clip) {
	type group struct {
		camera string
		iso    int
	}
	days := map[string]map[group][]ledger.Clip{}
	told := map[string]*report.Day{}
	for _, c := range clips {
		day, zone, byFile := q.dayOf(&c)
		switch {
		case day == "":
			d.Undated++
			continue
		case day < q.Since || !strings.Contains(strings.ToLower(c.Facts.Camera), strings.ToLower(q.Camera)):
			continue
		case days[day] == nil:
			days[day], told[day] = map[group][]ledger.Clip{}, &report.Day{Date: day}
		}
		t := told[day]
		if !slices.Contains(t.Zones, zone) {
			t.Zones = append(t.Zones, zone)
		}
		if byFile {
			t.ByFileTime++
		}
		t.Clips++
		g := group{c.Facts.Camera, c.Facts.ISO}
		days[day][g] = append(days[day][g], c)
	}
	for _, date := range slices.Sorted(maps.Keys(days)) {
		day := told[date]
		slices.Sort(day.Zones)
		for g, clips := range days[date] {
			day.Groups = append(day.Groups, groupOf(g.camera, g.iso, clips))
		}
		slices.SortFunc(day.Groups, func(a, b report.Group) int {
			return cmp.Or(cmp.Compare(a.Camera, b.Camera), cmp.Compare(a.ISO, b.ISO))
		})
		d.Clips += day.Clips
		d.Days = append(d.Days, *day)
	}
}

// dayOf returns the day of a clip and the zone it is in: that of the recording, or else of the files'
// latest change. A year that no file of footage has is none.
func (q Question) dayOf(c *ledger.Clip) (day, zone string, byFile bool) {
	t, err := time.Parse(time.RFC3339, c.Facts.RecordedOn)
	if byFile = err != nil; byFile {
		t = time.Unix(0, c.Fingerprint.Modified).In(q.Zone)
	}
	if t.Year() < 1980 || t.Year() > 2200 { // FAT's clock begins in 1980
		return "", "", byFile
	}
	return t.Format(time.DateOnly), t.Format("-07:00"), byFile
}

func groupOf(camera string, iso int, clips []ledger.Clip) report.Group {
	g := report.Group{Camera: camera, ISO: iso, Clips: len(clips)}
	var placement, floor, clipped []float64
	for _, c := range clips {
		f := &c.Facts
		if !slices.Contains(g.Curves, f.Curve) {
			g.Curves = append(g.Curves, f.Curve)
		}
		if f.Method == "" || f.Method == "scene" || !curve.Finite(f.Placement) {
			g.NoGrey++
		} else {
			placement = append(placement, float64(f.Placement))
		}
		floor, clipped = appendKnown(floor, f.Floor), appendKnown(clipped, f.Clipped)
	}
	slices.Sort(g.Curves)
	g.Placement, g.Floor, g.Clipped = span[curve.Stops](placement), span[curve.Stops](floor), span[curve.Share](clipped)
	return g
}

func appendKnown[T ~float64](list []float64, v T) []float64 {
	if !curve.Finite(v) {
		return list
	}
	return append(list, float64(v))
}

func span[T ~float64](v []float64) report.Span[T] {
	none := curve.Unknown[T]()
	if len(v) == 0 {
		return report.Span[T]{Median: none, Least: none, Most: none}
	}
	return report.Span[T]{Median: T(robust.Median(v)), Least: T(slices.Min(v)), Most: T(slices.Max(v)), Clips: len(v)}
}
