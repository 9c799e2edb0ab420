package shoot

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"stopledger/analyze/plan"
	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/profile"
	"stopledger/report"
	"stopledger/report/html"
)

// An Argument is a take as it is named on the command line.
type Argument struct {
	Path string // of the clip
	ISO  int    // named with it; 0 where the clip is to say
}

// ParseArgument reads [ISO=]TAKE; a file that has the whole name is that take.
func ParseArgument(said string) Argument {
	iso, path, named := strings.Cut(said, "=")
	n, err := strconv.Atoi(iso)
	if _, missing := os.Lstat(said); !named || err != nil || n < 1 || path == "" || missing == nil {
		return Argument{Path: said}
	}
	return Argument{path, n}
}

// TakeOf returns a measured clip as a take of a profile. iso is 0 where the clip is to say it.
func TakeOf(c *report.Clip, iso int) (plan.Take, error) {
	if iso == 0 {
		iso = c.Camera.Speed()
	}
	if iso == 0 {
		return plan.Take{}, fmt.Errorf("%s does not say its ISO: name it, as in 800=%[1]s", c.Path)
	}
	return audit.TakeOf(c, iso), nil
}

// profilePage is the page beside a profile's file.
func profilePage(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) + ".html" }

// PrepareProfile checks that a profile and its page can be written.
func PrepareProfile(path string) error {
	if filepath.Ext(path) != ".toml" {
		return fmt.Errorf("--out %s: a profile is a TOML file: name one that ends in .toml", path)
	}
	if err := CheckOurs(path, "written by stopledger profile"); err != nil {
		return fmt.Errorf("--out: %w", err)
	}
	if err := CheckOurs(profilePage(path), madeBy); err != nil {
		return fmt.Errorf("--out, the page: %w", err)
	}
	if _, err := os.Stat(filepath.Dir(path)); err != nil {
		return fmt.Errorf("--out %s cannot be written: %w", path, err)
	}
	return nil
}

// WriteProfile writes a profile as a TOML file, and its page beside it.
func WriteProfile(path string, p *report.Profile) error {
	text, err := profile.Bytes(&p.Profile)
	if err != nil {
		return err
	}
	err = report.WriteFile(path, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
	if err != nil {
		return err
	}
	return report.WriteFile(profilePage(path), func(w io.Writer) error { return html.WriteProfile(w, p) })
}
