package handover

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/curve"
	"stopledger/curve/adjust"
	"stopledger/report"
)

// A Request says what to write of orders, and where.
type Request struct {
	Dir      string         // folder of the files, which is made
	As       []Kind         // formats
	Domains  []curve.Domain // domains
	MaxError curve.Stops    // largest error of a CDL, from 2 stops under to 4 over the subject's grey
	Tool     report.Tool    // that writes

	Refused []report.Refusal // clips that have no order
}

// Write writes the files of all orders: each clip's in each format and domain, and, with CDLs, the lists of
// all in each domain. It tells what it wrote and refused, also where it could not go on. No file of
// another clip, nor any that is not of this kind, is written over.
func (r Request) Write(orders []Order) (*report.Adjusted, error) {
	a := &report.Adjusted{Schema: report.AdjustSchema, Tool: r.Tool, Refused: slices.Clone(r.Refused)}
	if err := os.MkdirAll(r.Dir, 0o755); err != nil {
		return a, fmt.Errorf("--out %s cannot be made: %w", r.Dir, err)
	}
	var paths []string
	for _, o := range orders {
		paths = append(paths, o.Clip.Path)
	}
	names, err := stems(r.Dir, paths)
	if err != nil {
		return a, err
	}
	lists := map[curve.Domain][]listed{}
	for _, o := range orders {
		stem := names[o.Clip.Path]
		for _, d := range r.Domains {
			c := listed{order: o, stem: stem}
			for _, as := range r.As {
				k, err := r.writeOne(a, o.Make(as, d), stem)
				if err != nil {
					return a, err
				}
				if as == CDL {
					c.cdl = k
				}
			}
			lists[d] = append(lists[d], c)
		}
	}
	if err := r.writeLists(a, lists); err != nil {
		return a, err
	}
	a.Earlier, err = r.earlier(a, orders)
	return a, err
}

// writeOne writes a file, or refuses it and returns nil.
func (r Request) writeOne(a *report.Adjusted, k *Correction, stem string) (*Correction, error) {
	path, name := k.order.Clip.Path, k.Name(stem)
	if why := k.Refused(r.MaxError); why != "" {
		a.Refused = append(a.Refused, report.Refusal{Path: path, As: string(k.As), Domain: k.Domain, Reason: why})
		return nil, nil
	}
	err := r.writeFile(name, Mark(path), func(w io.Writer) error { return k.Write(w, stem, r.Tool) })
	if err != nil {
		return nil, err
	}
	a.Files = append(a.Files, k.entry(name))
	return k, nil
}

// writeFile writes a file unless one lies there that does not say a word.
func (r Request) writeFile(name, word string, write func(io.Writer) error) error {
	path := filepath.Join(r.Dir, name)
	text, err := headOf(path)
	switch {
	case errors.Is(err, fs.ErrNotExist), err == nil && strings.Contains(text, word):
		return report.WriteFile(path, write)
	case err != nil:
		return err
	}
	return fmt.Errorf("%s is there and is none of this clip's or program's: name another folder with --out", path)
}

// writeLists writes the CDLs of all clips as a collection, an edit list and a timeline of each domain.
func (r Request) writeLists(a *report.Adjusted, lists map[curve.Domain][]listed) error {
	for _, d := range r.Domains {
		var all []adjust.LabelledCDL
		for _, c := range lists[d] {
			if c.cdl != nil {
				all = append(all, adjust.LabelledCDL{Label: c.cdl.label(c.stem, r.Tool), CDL: c.cdl.made.(adjust.CDL)})
			}
		}
		if len(all) == 0 {
			continue
		}
		stem := listStem + "_" + string(d)
		about := []string{"Exposure of " + fmt.Sprint(len(all)) + " clips, by stopledger " + r.Tool.Version}
		err := r.writeList(a, report.CorrectionList{File: stem + ".ccc", As: "ccc", Domain: d, Clips: len(all)},
			func(w io.Writer) error { return adjust.WriteCCC(w, about, all) })
		if err != nil {
			return err
		}
		if err := r.writeCuts(a, stem, d, lists[d]); err != nil {
			return err
		}
	}
	return nil
}

// writeCuts writes the edit lists, one where all clips count alike, and the timeline.
func (r Request) writeCuts(a *report.Adjusted, stem string, d curve.Domain, clips []listed) error {
	groups := alike(clips)
	for _, g := range groups {
		name := stem + ".edl"
		if count := placeOf(&g[0].order.Clip).counting; len(groups) > 1 {
			name = fmt.Sprintf("%s_%dfps.edl", stem, count.perSecond)
			if count.drop {
				name = fmt.Sprintf("%s_%dfps_drop.edl", stem, count.perSecond)
			}
		}
		err := r.writeList(a, report.CorrectionList{File: name, As: "edl", Domain: d, Clips: len(g)},
			func(w io.Writer) error { return writeEDL(w, g, d) })
		if err != nil {
			return err
		}
	}
	return r.writeList(a, report.CorrectionList{File: stem + ".otio", As: "otio", Domain: d, Clips: len(clips)},
		func(w io.Writer) error { return writeOTIO(w, clips, d, r.Tool) })
}

func (r Request) writeList(a *report.Adjusted, l report.CorrectionList, write func(io.Writer) error) error {
	err := r.writeFile(l.File, writer, write)
	if err == nil {
		a.Lists = append(a.Lists, l)
	}
	return err
}
