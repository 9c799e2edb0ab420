package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path"
	"path/filepath"

	"stopledger/analyze/display"
	"stopledger/report"
)

// A File is a picture, encoded.
type File struct {
	Name string // relative to the report's folder, with slashes
	Data []byte
}

// Rendered are the pictures of one clip, not written yet.
type Rendered struct {
	Names report.Pictures // for the clip's document
	Files []File
}

// Write writes the pictures into a report's folder.
func (r *Rendered) Write(dir string) error {
	if err := os.MkdirAll(filepath.Join(dir, report.PictureFolder), 0o755); err != nil {
		return fmt.Errorf("folder for pictures: %w; choose another with --out", err)
	}
	for _, f := range r.Files {
		err := report.WriteFile(filepath.Join(dir, filepath.FromSlash(f.Name)), func(to io.Writer) error {
			_, err := to.Write(f.Data)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// A renderer encodes the pictures of one clip.
type renderer struct {
	stem  string             // of the clip's file names
	shows *display.Rendering // what is shown after the grade
	files []File
}

// add encodes a picture, as JPEG of the given quality or without loss where that is 0, and returns
// its name.
func (r *renderer) add(kind string, img image.Image, quality int) (string, error) {
	encode, ending := png.Encode, ".png"
	if quality > 0 {
		ending = ".jpg"
		encode = func(to io.Writer, img image.Image) error {
			return jpeg.Encode(to, img, &jpeg.Options{Quality: quality})
		}
	}
	var data bytes.Buffer
	name := path.Join(report.PictureFolder, r.stem+"-"+kind+ending)
	err := encode(&data, img)
	r.files = append(r.files, File{name, data.Bytes()})
	return name, err
}
