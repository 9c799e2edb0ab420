package report

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"stopledger/analyze"
)

// indexPageName is the page a person opens first.
const indexPageName = "index.html"

//go:embed page
var pageFiles embed.FS

// WritePages writes a report to be opened in a browser: dir/index.html for the shoot and one
// page a clip under dir/clips. Pages load nothing from a network; a clip's page carries its
// pictures within it and can be mailed alone, the index shows thumbnails from dir/pictures.
//
// Stills, by Clip.Path, are rendered into dir/pictures first, which sets Clip.Pictures in doc. A
// clip without stills is shown with the pictures that its Clip.Pictures names, if they are there.
func WritePages(dir string, doc *Document, stills map[string]*analyze.Stills) error {
	for i := range doc.Clips {
		c := &doc.Clips[i]
		if err := WritePictures(dir, c, stills[c.Path]); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, clipFolder), 0o755); err != nil {
		return fmt.Errorf("folder for pages: %w; choose another with --out", err)
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("folder for pages: %w", err)
	}
	defer folder.Close()
	for i := range doc.Clips {
		if err := writeClipPage(dir, folder, doc, i); err != nil {
			return err
		}
	}
	return writePage(filepath.Join(dir, indexPageName), "index", newIndexPage(folder, doc))
}

// writeClipPage writes the page of clip i of doc.
func writeClipPage(dir string, folder *os.Root, doc *Document, i int) error {
	name := filepath.FromSlash(clipPage(doc.Clips[i].Path))
	return writePage(filepath.Join(dir, name), "clip", newClipPage(folder, doc, i))
}

func writePage(path, kind string, page any) error {
	return WriteFile(path, func(w io.Writer) error {
		return templates().ExecuteTemplate(w, kind+".html", page)
	})
}

var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{
		"icon": icon,
	}).ParseFS(pageFiles, "page/*.html"))
})

// A frame is what every page has around it.
type frame struct {
	Title  string
	Tool   string
	Policy string // Content-Security-Policy
	Style  template.HTML
	Script template.HTML
	Home   string // link to the index, "" on the index itself
	Sky    bool   // a finding may send somebody to shoot into a bright sky again
}

// newFrame builds the frame from the named style sheets and scripts. The policy lets a page
// show pictures and run this script only, and reach nothing: no network, no form, no frame.
func newFrame(title string, tool Tool, styles, scripts []string) frame {
	script := pageText(scripts)
	sum := sha256.Sum256([]byte(script))
	return frame{
		Title: title,
		Tool:  strings.TrimSpace(tool.Name + " " + tool.Version),
		Policy: "default-src 'none'; base-uri 'none'; form-action 'none'; img-src 'self' file: data:; " +
			"style-src 'unsafe-inline'; script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'",
		Style:  template.HTML("<style>" + pageText(styles) + "</style>"),
		Script: template.HTML("<script>" + script + "</script>"),
	}
}

// pageText joins files of the page folder.
func pageText(names []string) string {
	var b strings.Builder
	for _, n := range names {
		text, err := pageFiles.ReadFile("page/" + n)
		if err != nil {
			panic("report: no such part of a page: " + n) // a name in this package is wrong
		}
		b.Write(text)
	}
	return b.String()
}

// clippedSky tells whether a clip has a clipped field, such as the sky, so that the page may
// lead somebody to point a camera at it again.
func clippedSky(c Clip) bool {
	for _, a := range c.Highlights.Areas {
		if a.Kind == "field" {
			return true
		}
	}
	return false
}
