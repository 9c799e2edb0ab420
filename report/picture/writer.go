package picture

import (
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"path"
	"path/filepath"

	"stopledger/report"
)

// A writer writes the pictures of one clip.
type writer struct {
	dir  string // the report's folder
	stem string // of the clip's file names
}

// write writes a picture and returns its name relative to the report's folder: as JPEG of the
// given quality, or without loss where that is 0.
func (w writer) write(kind string, img image.Image, quality int) (string, error) {
	encode, ending := png.Encode, ".png"
	if quality > 0 {
		ending = ".jpg"
		encode = func(to io.Writer, img image.Image) error {
			return jpeg.Encode(to, img, &jpeg.Options{Quality: quality})
		}
	}
	name := path.Join(report.PictureFolder, w.stem+"-"+kind+ending)
	return name, report.WriteFile(filepath.Join(w.dir, filepath.FromSlash(name)), func(to io.Writer) error {
		return encode(to, img)
	})
}
