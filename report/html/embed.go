package html

import (
	"encoding/base64"
	"html/template"
	"io"
	"mime"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/handover"
	"stopledger/report/text"
)

// largestPicture is the most a picture file may weigh to be put into a page.
const largestPicture = 4 << 20

// localName returns a picture's name if it lies within the report's folder, else "".
func localName(name string) string {
	if !strings.HasPrefix(name, report.PictureFolder+"/") || !filepath.IsLocal(filepath.FromSlash(name)) {
		return ""
	}
	return name
}

// isFile tells whether the report's folder holds a file of that name.
func isFile(folder *os.Root, name string) bool {
	info, err := folder.Stat(filepath.FromSlash(name))
	return err == nil && info.Mode().IsRegular()
}

// beside returns a link from a page to a picture file of the report, "" where it is not there; up leads from
// the page to the report's folder.
func beside(folder *os.Root, up, name string) string {
	if localName(name) == "" || !isFile(folder, name) {
		return ""
	}
	return up + (&url.URL{Path: name}).EscapedPath()
}

// jpegURL returns a picture as a data URL; empty for none.
func jpegURL(data []byte) template.URL {
	if len(data) == 0 {
		return ""
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data))
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
	return dataURL(kind, data)
}

// dataURL is a file within a page.
func dataURL(kind string, data []byte) template.URL {
	return template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data))
}

// A savable file is carried by a page.
type savable struct {
	Words, Name string
	URL         template.URL
}

// A correction is the change advised as files to be saved, and as numbers to be copied.
type correction struct {
	Stops  string
	Scale  string      // what most programs hand to the files, in codes
	Files  []savable   // for those
	Other  string      // what others hand over; "" where that is the same
	Others []savable   // for them
	SOP    [][2]string // rows of the colour decision; none where it is too far off
	Off    string      // how far off that is
}

// newCorrection returns the correction advised for a clip; nil where there is none, or its curve came from a
// file that the document does not have.
func newCorrection(c *report.Clip, set analyze.Settings, by report.Tool) *correction {
	o, refused := handover.OrderOf(c, handover.Wish{Target: set.Target})
	if refused != "" {
		return nil
	}
	stem := handover.Stem(c.Path)
	file := func(words string, as handover.Kind, d curve.Domain) savable {
		k := o.Make(as, d)
		return savable{words, k.Name(stem), dataURL("application/octet-stream", k.Bytes(stem, by))}
	}
	v := &correction{Stops: text.Typeset(o.Stops.Signed(3)), Scale: o.Codes(curve.VideoDomain),
		Files: []savable{file("CLF", handover.CLF, curve.VideoDomain), file("cube", handover.Cube, curve.VideoDomain)}}
	if other := o.Codes(curve.CurveDomain); other != v.Scale {
		v.Other, v.Others = other, []savable{file("CLF", handover.CLF, curve.CurveDomain)}
	}
	cdl := o.Make(handover.CDL, curve.VideoDomain)
	if v.Off = cdl.Refused(handover.UsualError); v.Off == "" {
		v.SOP, v.Off = cdl.SOP(), cdl.Exactness()
	}
	v.Off = typeset(v.Off)
	return v
}
