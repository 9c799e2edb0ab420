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
	ours  string // what a file of ours of that name holds
}

// textWidth is how wide the text in a plan's folder is wrapped.
const textWidth = 100

// madeBy stands on every page.
const madeBy = "Written by stopledger"

var files = []file{
	{"plan.json", report.WritePlanJSON, `"` + report.PlanSchema + `"`},
	{"plan.csv", csv.WritePlan, csv.PlanHead},
	{"plan.txt", func(w io.Writer, p *report.Plan) error {
		return text.WritePlan(w, p, text.Layout{Width: textWidth})
	}, text.ZebraNote},
	{"plan.html", html.WritePlan, madeBy},
}

// PrepareFolder makes the folder of a plan. An earlier plan is written anew; other files of the same names
// are not replaced.
func PrepareFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("--out %s cannot be made: %w", dir, err)
	}
	for _, f := range files {
		if err := CheckOurs(filepath.Join(dir, f.name), f.ours); err != nil {
			return fmt.Errorf("--out: %w", err)
		}
	}
	return nil
}

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
