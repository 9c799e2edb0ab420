package report

import (
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path"
	"path/filepath"

	"stopledger/analyze"
)

// Sizes of the pictures, in pixels across, and how lossy ones are coded.
const (
	frameWidth   = 960
	thumbWidth   = 240
	frameQuality = 88
	thumbQuality = 78
)

// WritePictures renders the stills of one clip into dir/pictures and sets clip.Pictures to
// their names relative to dir. It needs the clip's finished advice, as pictures are shown after
// the correction too. Without a whole frame nothing is written and clip.Pictures is left alone.
func WritePictures(dir string, clip *Clip, stills *analyze.Stills) error {
	if stills == nil || stills.Frame == nil {
		return nil
	}
	if err := checkStill(stills.Frame); err != nil {
		return fmt.Errorf("pictures of %s: %w", clip.Path, err)
	}
	if err := os.MkdirAll(filepath.Join(dir, pictureFolder), 0o755); err != nil {
		return fmt.Errorf("folder for pictures: %w; choose another with --out", err)
	}
	w := pictureWriter{dir: dir, stem: fileStem(clip.Path)}
	p, err := w.writeFrame(clip, reduced(turned(stills.Frame, clip.Rotation), frameWidth))
	if err != nil {
		return err
	}
	if p.Strips, err = w.writeStrips(clip, stills.Shadows); err != nil {
		return err
	}
	if wf := stills.Waveform; wf != nil && wf.Columns > 0 && len(wf.Counts) == wf.Columns*wf.Levels {
		if p.Waveform, err = w.picture("waveform", waveformPicture(wf), 0); err != nil {
			return err
		}
	}
	clip.Pictures = p
	return nil
}

func checkStill(s *analyze.Still) error {
	n := s.Width * s.Height
	if n <= 0 || len(s.R) != n || len(s.G) != n || len(s.B) != n || len(s.Code) != n || len(s.Clipped) != n {
		return fmt.Errorf("a still of %d x %d pixels has planes of other sizes", s.Width, s.Height)
	}
	return nil
}

// writeFrame writes every picture that is made from the whole frame.
func (w pictureWriter) writeFrame(clip *Clip, frame *analyze.Still) (*Pictures, error) {
	stops, matrix := correctionStops(*clip), clip.Matrix.Value
	small := reduced(frame, frameWidth/mapEnlarged)
	p := &Pictures{}
	for _, picture := range []struct {
		name    *string
		kind    string
		quality int // of a lossy picture, 0 for none
		img     image.Image
	}{
		{&p.Thumb, "thumb", thumbQuality, rendered(reduced(frame, thumbWidth), 0)},
		{&p.Recorded, "recorded", frameQuality, rendered(frame, 0)},
		{&p.After, "after", frameQuality, rendered(frame, stops)},
		{&p.StopMap, "stops", 0, stopMap(small, matrix, clip.Noise.FloorStops)},
		{&p.Clipped, "clipped", 0, clippedOverlay(frame)},
		{&p.Levels, "levels", 0, levelsPicture(reduced(frame, levelsWidth), matrix)},
	} {
		var err error
		if *picture.name, err = w.picture(picture.kind, picture.img, picture.quality); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// A pictureWriter writes the pictures of one clip.
type pictureWriter struct{ dir, stem string }

// picture writes a picture and returns its name relative to the report's folder: as JPEG of
// the given quality, or without loss where that is 0.
func (w pictureWriter) picture(kind string, img image.Image, quality int) (string, error) {
	encode, ending := png.Encode, ".png"
	if quality > 0 {
		ending = ".jpg"
		encode = func(to io.Writer, img image.Image) error {
			return jpeg.Encode(to, img, &jpeg.Options{Quality: quality})
		}
	}
	name := path.Join(pictureFolder, w.stem+"-"+kind+ending)
	return name, WriteFile(filepath.Join(w.dir, filepath.FromSlash(name)), func(to io.Writer) error {
		return encode(to, img)
	})
}
