package html

import (
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"

	"stopledger/report/picture"
)

// A probe is what can be read off a picture by pointing at it; see picture.ReadLevels.
type probe struct {
	Width, Height int
	First, Step   float64 // stops
	Cells         string  // base64
}

func newProbe(folder *os.Root, name string) *probe {
	if localName(name) == "" {
		return nil
	}
	f, err := folder.Open(filepath.FromSlash(name))
	if err != nil {
		return nil
	}
	defer f.Close()
	w, h, cells, err := picture.ReadLevels(f)
	if err != nil {
		return nil
	}
	return &probe{w, h, picture.LevelsFirst, picture.LevelsStep, base64.StdEncoding.EncodeToString(cells)}
}

// A band is one half stop of the stop map's key.
type band struct {
	Colour string
	X, W   float64 // percent
}

// mapLegend is the key of the stop map.
func mapLegend() (bands []band, ticks []tick) {
	colours := picture.BandColours()
	n := float64(len(colours))
	for i, c := range colours {
		colour := fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
		bands = append(bands, band{colour, 100 * float64(i) / n, 100/n + 0.05}) // no seams
	}
	return bands, axis{picture.MapLow, picture.MapHigh}.ticks()
}
