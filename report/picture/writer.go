package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
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
	data, err := asPNG(img)
	return r.keep(kind+".png", data), err
}

// fullQuality is of a frame at full resolution where it is not too heavy.
const fullQuality = 92

// mostBytes is the most that a frame at full resolution may take; a clip has two at most.
const mostBytes = 3_000_000 / 2

// addWithin encodes a picture as JPEG of a quality that keeps the noise, or of the best of some lower ones
// that fits into mostBytes.
func (r *renderer) addWithin(kind string, img *image.RGBA) (string, error) {
	const worst = 20
	const small = 2560 * 1440 // pixels: such a picture mostly fits at the first quality
	b := img.Bounds()
	bands, share := bandsOf(img)
	for _, quality := range []int{fullQuality, 84, 74, 60, 40} {
		if quality < fullQuality || b.Dx()*b.Dy() > small {
			few, err := asJPEG(bands, quality)
			if err != nil {
				return "", err
			}
			if share*float64(len(few)) > mostBytes {
				continue
			}
		}
		if data, err := asJPEG(img, quality); err != nil || len(data) <= mostBytes {
			return r.keep(kind+".jpg", data), err
		}
	}
	data, err := asJPEG(img, worst)
	return r.keep(kind+".jpg", data), err
}

// bandsOf returns every eighth band of a picture, by which its weight is foretold, and how many times as high
// it is.
func bandsOf(img *image.RGBA) (bands *image.RGBA, share float64) {
	const band, every = 16, 8 // JPEG codes chroma in bands of 16 rows
	b := img.Bounds()
	n := (b.Dy()/band + every - 1) / every
	if n < 4 { // too few to tell
		return img, 1
	}
	bands = image.NewRGBA(image.Rect(0, 0, b.Dx(), n*band))
	for i := range n {
		from := img.PixOffset(b.Min.X, b.Min.Y+i*every*band)
		copy(bands.Pix[i*band*bands.Stride:(i+1)*band*bands.Stride], img.Pix[from:from+band*img.Stride])
	}
	return bands, float64(b.Dy()) / float64(n*band)
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
