package report

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"mime"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// largestPicture is the most a picture file may weigh to be put into a page.
const largestPicture = 4 << 20

// localName returns a picture's name if it lies within the report's folder, else "".
func localName(name string) string {
	if !strings.HasPrefix(name, pictureFolder+"/") || !filepath.IsLocal(filepath.FromSlash(name)) {
		return ""
	}
	return name
}

// isFile tells whether the report's folder holds a file of that name.
func isFile(folder *os.Root, name string) bool {
	info, err := folder.Stat(filepath.FromSlash(name))
	return err == nil && info.Mode().IsRegular()
}

// embedded returns a picture as a data URL, "" where the file is not there. Names come from a
// document that anybody may have changed; folder keeps them from leading out.
func embedded(folder *os.Root, name string) template.URL {
	kind := mime.TypeByExtension(path.Ext(name))
	if localName(name) == "" || kind != "image/png" && kind != "image/jpeg" {
		return ""
	}
	f, err := folder.Open(filepath.FromSlash(name))
	if err != nil {
		return ""
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largestPicture+1))
	if err != nil || len(data) > largestPicture {
		return ""
	}
	return template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data))
}

// A probeGrid is what can be read off a picture by pointing at it; see levelsPicture.
type probeGrid struct {
	Width, Height int
	First, Step   float64 // stops
	Cells         string  // base64
}

func newProbeGrid(folder *os.Root, name string) *probeGrid {
	if localName(name) == "" {
		return nil
	}
	f, err := folder.Open(filepath.FromSlash(name))
	if err != nil {
		return nil
	}
	defer f.Close()
	w, h, cells, err := readLevels(f)
	if err != nil {
		return nil
	}
	return &probeGrid{w, h, levelsFirst, levelsStep, base64.StdEncoding.EncodeToString(cells)}
}

// A legendBand is one half stop of the stop map's key.
type legendBand struct {
	Colour string
	X, W   float64 // percent
}

func mapLegend() (bands []legendBand, ticks []rulerTick) {
	for i := range mapBands {
		c := bandColour(i)
		bands = append(bands, legendBand{fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B), 100 * float64(i) / mapBands, 100.0/mapBands + 0.05})
	}
	for v := mapLow; v <= mapHigh; v++ {
		tick := rulerTick{X: 100 * float64(v-mapLow) / (mapHigh - mapLow), Words: typeset(decimal(float64(v), 0, v != 0, "")), Anchor: edgeAnchor(float64(v), mapLow, mapHigh), Odd: v%2 != 0}
		ticks = append(ticks, tick)
	}
	return bands, ticks
}
