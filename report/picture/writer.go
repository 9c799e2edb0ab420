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
	if quality > 0 {
		data, err := asJPEG(img, quality)
		return r.keep(kind+".jpg", data), err
	}
	var data bytes.Buffer
	err := png.Encode(&data, img)
	return r.keep(kind+".png", data.Bytes()), err
}

// fullQuality is of a frame at full resolution where it is not too heavy.
const fullQuality = 92

// mostBytes is the most that a frame at full resolution may take; a clip has two at most.
const mostBytes = 3_000_000 / 2

// addWithin encodes a picture as JPEG of a quality that keeps the noise, or of the best of some lower ones
// that fits into mostBytes.
func (r *renderer) addWithin(kind string, img image.Image) (string, error) {
	var data []byte
	for _, quality := range []int{fullQuality, 84, 74, 60, 40, 20} {
		var err error
		if data, err = asJPEG(img, quality); err != nil {
			return "", err
		}
		if len(data) <= mostBytes {
			break
		}
	}
	return r.keep(kind+".jpg", data), nil
}

func asJPEG(img image.Image, quality int) ([]byte, error) {
	var data bytes.Buffer
	err := jpeg.Encode(&data, img, &jpeg.Options{Quality: quality})
	return data.Bytes(), err
}

// keep keeps a file and returns its name.
func (r *renderer) keep(kind string, data []byte) string {
	name := path.Join(report.PictureFolder, r.stem+"-"+kind)
	r.files = append(r.files, File{name, data})
	return name
}
