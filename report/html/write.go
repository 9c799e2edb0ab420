// Package html writes a report to be opened in a browser: an index of the shoot, a page a clip,
// and takes side by side. Pages load nothing from a network. A clip's page and the comparison carry
// their pictures but for frames at full resolution and enlarged pieces, which lie beside them.
package html

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"golang.org/x/sync/errgroup"

	"stopledger/report"
)

// Write writes dir/index.html for the shoot and one page a clip under dir/clips. Clips are shown
// with the pictures that their document names, where those are in dir. Numbers are shown as the
// document has them written, so that pages made anew from a document that was read are the same.
func Write(dir string, doc *report.Document) error {
	head := *doc
	head.Clips = nil
	rounded, err := head.Rounded()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, report.ClipFolder), 0o755); err != nil {
		return fmt.Errorf("folder for pages: %w; choose another with --out", err)
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("folder for pages: %w", err)
	}
	defer folder.Close()
	paths := doc.Paths()
	rows := newRows(paths)
	var beside errgroup.Group // some pages at a time
	beside.SetLimit(runtime.GOMAXPROCS(0))
	err = doc.EachClip(func(i int, c *report.Clip) error {
		c, err := c.Rounded()
		if err != nil {
			return err
		}
		rows.add(i, c)
		beside.Go(func() error { return writeClip(dir, folder, rounded, paths, i, c) })
		return nil
	})
	if err = cmp.Or(err, beside.Wait()); err != nil {
		return err
	}
	return writePage(filepath.Join(dir, report.IndexPage), "index", rows.index(folder, rounded))
}

// WriteComparison writes dir/compare.html: the takes side by side, each shown after its own
// correction so that their noise is seen at equal brightness, the differences from the first
// with their intervals, and the recommendation. It needs at least one take. An index that is
// there is written anew, to link to the page.
func WriteComparison(dir string, c *report.Comparison) error {
	c, err := c.Rounded()
	if err != nil {
		return err
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("folder for the comparison: %w", err)
	}
	defer folder.Close()
	if err := writePage(filepath.Join(dir, report.ComparePage), "compare", newComparison(folder, c)); err != nil {
		return err
	}
	if !isFile(folder, report.IndexPage) {
		return nil
	}
	doc := &report.Document{Tool: c.Tool, Settings: c.Settings, Clips: c.Clips, Failed: c.Failed}
	return writePage(filepath.Join(dir, report.IndexPage), "index", newIndex(folder, doc))
}

// writeClip writes the page of c, which is clip i of those with these paths.
func writeClip(dir string, folder *os.Root, doc *report.Document, paths []string, i int, c *report.Clip) error {
	name := filepath.FromSlash(report.ClipPage(c.Path))
	return writePage(filepath.Join(dir, name), "clip", newClip(folder, doc, paths, i, c))
}

func writePage(path, kind string, page any) error {
	return report.WriteFile(path, func(w io.Writer) error {
		return templates().ExecuteTemplate(w, kind+".html", page)
	})
}
