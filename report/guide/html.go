package guide

import (
	_ "embed" // for the page
	"html/template"
	"io"

	"stopledger/report"
)

//go:embed guide.html
var page string

var pageTemplate = template.Must(template.New("guide").Funcs(template.FuncMap{
	"zebra": ZebraWords, "at": placementWords,
}).Parse(page))

// WriteHTML writes the guide as a page for a phone's browser; it loads nothing from a network.
func WriteHTML(w io.Writer, p *report.Plan) error {
	return pageTemplate.Execute(w, struct {
		Title, Basis, Caution, Tool string
		Plan                        *report.Plan
	}{Title(p), Basis(p), Caution, p.Tool.Name + " " + p.Tool.Version, p})
}
