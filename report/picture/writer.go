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
	"runtime"

	"golang.org/x/sync/errgroup"

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
	var beside errgroup.Group // each waits for the disk
	beside.SetLimit(filesAtOnce)
	for _, f := range r.Files {
		beside.Go(func() error {
			return report.WriteFile(filepath.Join(dir, filepath.FromSlash(f.Name)), func(to io.Writer) error {
				_, err := to.Write(f.Data)
				return err
			})
		})
	}
	return beside.Wait()
}

const filesAtOnce = 4

// A renderer makes the pictures of one clip, some at a time.
type renderer struct {
	stem   string             // of the clip's file names
	shows  *display.Rendering // what is shown after the grade
	files  []*File            // in order; their data come beside
	beside errgroup.Group
}

func newRenderer(stem string, shows *display.Rendering) *renderer {
	r := &renderer{stem: stem, shows: shows}
	r.beside.SetLimit(runtime.GOMAXPROCS(0))
	return r
}

// add has a picture made and encoded, as JPEG of the given quality or without loss where that is 0, and returns
// its name.
func (r *renderer) add(kind string, quality int, made func() image.Image) string {
	encode, ending := asPNG, ".png"
	if quality > 0 {
		encode, ending = func(img image.Image) ([]byte, error) { return asJPEG(img, quality) }, ".jpg"
	}
	f := r.file(kind + ending)
	r.run(func() (err error) {
		f.Data, err = encode(made())
		return err
	})
	return f.Name
}

// file adds a file without data.
func (r *renderer) file(kind string) *File {
	f := &File{Name: path.Join(report.PictureFolder, r.stem+"-"+kind)}
	r.files = append(r.files, f)
	return f
}

// run runs some work beside its caller, and waits where enough runs.
func (r *renderer) run(work func() error) {
	r.beside.Go(func() (err error) {
		defer func() {
			if reason := recover(); reason != nil {
				err = panicked{reason}
			}
		}()
		return work()
	})
}

// wait waits for all that runs, and returns the files. It panics as the work did.
func (r *renderer) wait() ([]File, error) {
	err := r.beside.Wait()
	if p, is := err.(panicked); is {
		panic(p.reason)
	}
	files := make([]File, len(r.files))
	for i, f := range r.files {
		files[i] = *f
	}
	return files, err
}

// panicked is what was panicked with.
type panicked struct{ reason any }

func (p panicked) Error() string { return fmt.Sprint(p.reason) }

// fullQuality is of a frame at full resolution where it is not too heavy.
const fullQuality = 92

// mostBytes is the most that a frame at full resolution may take; a clip has two at most.
const mostBytes = 3_000_000 / 2

// within encodes a picture as JPEG of a quality that keeps the noise, or of the best of some lower ones
// that fits into mostBytes.
func within(img *image.RGBA) ([]byte, error) {
	const worst = 20
	const small = 2560 * 1440 // pixels: such a picture mostly fits at the first quality
	b := img.Bounds()
	bands, share := bandsOf(img)
	for _, quality := range []int{fullQuality, 84, 74, 60, 40} {
		if quality < fullQuality || b.Dx()*b.Dy() > small {
			few, err := asJPEG(bands, quality)
			if err != nil {
				return nil, err
			}
			if share*float64(len(few)) > mostBytes {
				continue
			}
		}
		if data, err := asJPEG(img, quality); err != nil || len(data) <= mostBytes {
			return data, err
		}
	}
	return asJPEG(img, worst)
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
