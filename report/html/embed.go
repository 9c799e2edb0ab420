package html

import (
	"encoding/base64"
	"html/template"
	"io"
	"mime"
	"os"
	"path"
	"path/filepath"
	"strings"

	"stopledger/report"
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
