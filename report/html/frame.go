package html

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"strings"
	"sync"

	"stopledger/report"
)

//go:embed page
var pageFiles embed.FS

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

	Reduced bool // its pictures were made smaller, to be mailed
}

// newFrame builds the frame from the named style sheets and scripts. The policy lets a page
// show pictures and run this script only, and reach nothing: no network, no form, no frame.
func newFrame(title string, tool report.Tool, styles, scripts []string) frame {
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
			panic("html: no such part of a page: " + n) // a name in this package is wrong
		}
		b.Write(text)
	}
	return b.String()
}
