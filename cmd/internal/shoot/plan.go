// Package shoot does what is done before a shoot: it keeps the folder of a plan, and makes profiles and plans
// of clips that were measured.
package shoot

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/analyze/plan"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/guide"
	"stopledger/report/html"
	"stopledger/report/text"
)

// TestOf returns what a measured clip tells of the scene to be planned for. It needs grey.
func TestOf(c *report.Clip) plan.Test {
	return plan.Test{ISO: c.Camera.Speed(), Grey: c.Placement.Stops, Dark: c.Scene.P1, Clipping: &c.Highlights,
		Noise: &c.Noise.Result}
}

// A file is one of a plan's folder.
type file struct {
	name  string
	write func(w io.Writer, p *report.Plan) error
}

// textWidth is how wide the text in a plan's folder is wrapped.
const textWidth = 100

// madeBy stands on every page.
const madeBy = "Written by stopledger"

var files = []file{
	{planDocument, report.WritePlanJSON},
	{"plan.csv", csv.WritePlan},
	{"plan.txt", func(w io.Writer, p *report.Plan) error {
		return text.WritePlan(w, p, text.Layout{Width: textWidth})
	}},
	{"plan.html", html.WritePlan},
	{"guide.html", guide.WriteHTML},
	{"guide.png", guide.WritePNG},
	{"guide.pdf", guide.WritePDF},
}

// PrepareFolder makes the folder of a plan. An earlier plan is written anew; other files of the same names
// are not replaced.
func PrepareFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("--out %s cannot be made: %w", dir, err)
	}
	document := filepath.Join(dir, planDocument)
	if err := CheckOurs(document, `"`+report.PlanSchema+`"`); err != nil {
		return fmt.Errorf("--out: %w", err)
	}
	if _, err := os.Stat(document); err == nil {
		return nil // the others are of that plan
	}
	for _, f := range files {
		if _, err := os.Lstat(filepath.Join(dir, f.name)); err == nil {
			return fmt.Errorf("--out %s holds a %s that stopledger did not write: name another folder", dir, f.name)
		}
	}
	return nil
}

// planDocument tells a plan's folder from others.
const planDocument = "plan.json"

// CheckOurs refuses a path where something lies that is no file of ours, which holds certain words.
func CheckOurs(path, words string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("%s cannot be written: %w", path, err)
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is no file: name another", path)
	}
	text, err := os.ReadFile(path)
	if err == nil && len(text) > 0 && !bytes.Contains(text, []byte(words)) {
		err = fmt.Errorf("%s is a file that stopledger did not write: name another", path)
	}
	return err
}

// WritePlan writes a plan into a folder: JSON, CSV, text and a page.
func WritePlan(dir string, p *report.Plan) error {
	for _, f := range files {
		err := report.WriteFile(filepath.Join(dir, f.name), func(w io.Writer) error { return f.write(w, p) })
		if err != nil {
			return err
		}
	}
	return nil
}
