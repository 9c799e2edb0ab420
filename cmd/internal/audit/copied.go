package audit

import (
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"

	"stopledger/report"
	"stopledger/report/ledger"
)

// copyKept copies the pictures of a clip's document, where the part has them, into another folder, and
// keeps in the ledger there that it has them.
func (p *part) copyKept(c *report.Clip, into *ledger.Ledger, folder string) error {
	names, known := picturesOf(p.ledger, p.dir, c)
	if !known {
		return nil
	}
	if err := p.copyPictures(names, folder); err != nil {
		return err
	}
	b, err := json.Marshal(names)
	if err != nil {
		return err
	}
	return into.KeepPictures(report.PictureKey(c), b)
}

// copyPictures copies those pictures that are there and are called as pictures of clips are: the names
// are from a file that may come from anywhere.
func (p *part) copyPictures(names *report.Pictures, folder string) error {
	if names == nil || !allThere(p.dir, names) {
		return nil
	}
	if err := os.MkdirAll(filepath.Join(folder, report.PictureFolder), 0o755); err != nil {
		return err
	}
	for _, name := range names.Files() {
		base, ours := strings.CutPrefix(name, report.PictureFolder+"/")
		if !ours || report.StemOfPicture(base) == "" {
			continue
		}
		if err := copyFile(filepath.Join(folder, report.PictureFolder, base),
			filepath.Join(p.dir, report.PictureFolder, base)); err != nil {
			return err
		}
	}
	return nil
}

func copyFile(to, from string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	return report.WriteFile(to, func(w io.Writer) error {
		_, err := io.Copy(w, f)
		return err
	})
}
