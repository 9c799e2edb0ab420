package html

import (
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"strconv"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/picture"
)

// A probe is what areas of the frame read, for people to measure by pointing; see picture.Levels.
type probe struct {
	Width, Height   int // blocks, as a person sees the frame
	Side            int // pixels of the frame to a block
	Zero, Fine, Toe float64
	Packed          string // base64
	FrameW, FrameH  int    // of the frame as coded
	Rotation        int
	Grey            string // recorded stops of the grey found; "" where it is weak or none was found
	Command, Path   string // what measures the clip once more, before and after its --region
}

// newProbe returns what can be measured in a clip's frame; nil where no levels are there.
func newProbe(folder *os.Root, c *report.Clip, read metadata.ReadAs) *probe {
	name := c.Pictures.Levels
	if localName(name) == "" || c.Pictures.LevelsSide < 1 {
		return nil
	}
	f, err := folder.Open(filepath.FromSlash(name))
	if err != nil {
		return nil
	}
	defer f.Close()
	l, err := picture.ReadLevels(f)
	if err != nil {
		return nil
	}
	v := &probe{Width: l.Width, Height: l.Height, Side: c.Pictures.LevelsSide,
		Zero: picture.LevelsZero, Fine: picture.LevelsFine, Toe: picture.LevelsToe,
		Packed: base64.StdEncoding.EncodeToString(l.Packed()),
		FrameW: c.Width, FrameH: c.Height, Rotation: c.Rotation}
	if p := c.Placement; p != nil && !p.Weak && curve.Finite(p.Stops) {
		v.Grey = strconv.FormatFloat(float64(p.Stops), 'f', 3, 64)
	}
	v.Command, v.Path = auditCommand(c, read)
	return v
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
