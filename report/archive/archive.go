// Package archive puts a report into one file that can be mailed: pages and documents of a report's folder,
// with smaller pictures.
package archive

import (
	"archive/zip"
	"compress/flate"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"stopledger/report"
	"stopledger/report/html"
	"stopledger/report/picture"
)

// What a clip may weigh in the file, in bytes, and what of that is for its pictures: the rest is for the text
// of its page and its part of the documents.
const (
	ClipBytes    = 300_000
	pictureBytes = 225_000
)

// staging is the folder within the report's in which the pages are made. It is gone afterwards, and one that
// a run left that was killed is used again.
const staging = ".zip.part"

// A Report is what goes into the file.
type Report struct {
	Document   *report.Document
	Comparison *report.Comparison // of takes; nil for none
	Documents  []string           // names of files of the folder that go along as they are, where they are there
}

// Path returns the name of the file: within the report's folder and with its name.
func Path(dir string) string { return filepath.Join(dir, folderName(dir)+".zip") }

// folderName is the name of a report's folder, under which it unpacks.
func folderName(dir string) string {
	name := "report"
	if whole, err := filepath.Abs(dir); err == nil {
		name = filepath.Base(whole)
	}
	if !utf8.ValidString(name) || strings.ContainsAny(name, `/\:`) {
		return "report"
	}
	return name
}

// Write writes the report of a folder as one file, Path(dir), of the pictures that lie in it. The same report
// gives the same bytes.
func Write(dir string, r Report) error {
	apart := filepath.Join(dir, staging)
	if err := os.RemoveAll(apart); err != nil {
		return fmt.Errorf("%s cannot be removed: %w", apart, err)
	}
	if err := os.Mkdir(apart, 0o755); err != nil {
		return fmt.Errorf("--zip: %w", err)
	}
	defer os.RemoveAll(apart)
	from, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("--zip: %w", err)
	}
	defer from.Close()
	shown, err := writePages(from, apart, r)
	if err != nil {
		return err
	}
	return report.WriteFile(Path(dir), func(to io.Writer) error {
		z := packer{zip.NewWriter(to), folderName(dir)}
		z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) {
			return flate.NewWriter(w, flate.BestCompression)
		})
		for _, name := range r.Documents {
			if err := z.add(from.FS(), name); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
		if err := z.addPages(os.DirFS(apart), shown); err != nil {
			return err
		}
		return z.Close()
	})
}

// writePages writes the pages into a folder of their own, with lighter pictures, and returns which of them
// pages show that do not carry them.
func writePages(from *os.Root, apart string, r Report) (shown map[string]bool, err error) {
	most := pictureBytes
	if r.Comparison != nil {
		most /= 2 // they are on two pages
	}
	shown = map[string]bool{}
	lighten := func(c *report.Clip) (*report.Clip, error) {
		if c.Pictures == nil {
			return c, nil
		}
		l, light := *c, picture.Lighten(from, c, most)
		l.Pictures = &light.Names
		shown[light.Names.Thumb] = true
		for _, s := range light.Names.Strips {
			shown[s.File] = true
		}
		return &l, light.Write(apart)
	}
	doc := *r.Document
	doc.Clips, doc.Stream = nil, &report.Stream{Paths: r.Document.Paths()}
	doc.Stream.Each = func(visit func(int, *report.Clip) error) error {
		return r.Document.EachClip(func(i int, c *report.Clip) error {
			c, err := lighten(c)
			if err != nil {
				return err
			}
			return visit(i, c)
		})
	}
	if err := html.Write(apart, &doc); err != nil || r.Comparison == nil {
		return shown, err
	}
	takes := *r.Comparison
	takes.Clips = nil
	for i := range r.Comparison.Clips {
		c, err := lighten(&r.Comparison.Clips[i])
		if err != nil {
			return nil, err
		}
		takes.Clips = append(takes.Clips, *c)
	}
	return shown, html.WriteComparison(apart, &takes)
}

// A packer fills the file.
type packer struct {
	*zip.Writer
	folder string // that everything lies in
}

// addPages adds pages, and those pictures that pages do not carry, in the order of their names.
func (z packer) addPages(pages fs.FS, pictures map[string]bool) error {
	return fs.WalkDir(pages, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Dir(name) == report.PictureFolder && !pictures[name] {
			return err
		}
		return z.add(pages, name)
	})
}

// add adds a file. All have one time, so that the same files give the same bytes.
func (z packer) add(from fs.FS, name string) error {
	f, err := from.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	method := zip.Deflate
	if path.Dir(name) == report.PictureFolder {
		method = zip.Store // is coded already
	}
	head := &zip.FileHeader{Name: z.folder + "/" + name, Method: method,
		Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)} // the first that a zip can say
	head.SetMode(0o644)
	to, err := z.CreateHeader(head)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, f)
	return err
}
