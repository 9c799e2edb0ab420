package archive

import (
	"archive/zip"
	"bytes"
	"image"
	"image/png"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/still"
	"stopledger/report"
	"stopledger/report/html"
	"stopledger/report/internal/reporttest"
	"stopledger/report/picture"
)

// noisy is footage whose pictures hardly compress; calm has no noise.
var (
	noisy = reporttest.Scene{Exposure: 1, Sky: 3, Ceiling: 5.6, Read: 2e-2, Shot: 5e-3, Seed: 7}
	calm  = reporttest.Scene{Exposure: -0.35, Sky: 1.4, Ceiling: 5.6}
)

// reportFolder writes the report of two clips of the invented shoot with their pictures, the first full of noise,
// and one without.
func reportFolder(t testing.TB) (dir string, doc *report.Document) {
	t.Helper()
	dir, doc = filepath.Join(t.TempDir(), "day12"), reporttest.Shoot(t)
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	doc.Clips = []report.Clip{doc.Clips[0], doc.Clips[3], doc.Clips[4]}
	draw(t, dir, &doc.Clips[0], noisy.Stills(doc.Clips[0].Width))
	draw(t, dir, &doc.Clips[1], calm.Stills(doc.Clips[1].Width))
	if err := html.Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	err := report.WriteFile(filepath.Join(dir, report.AuditDocument),
		func(w io.Writer) error { return report.WriteJSON(w, doc) })
	if err != nil {
		t.Fatal(err)
	}
	return dir, doc
}

// draw renders a clip's pictures and writes them.
func draw(t testing.TB, dir string, c *report.Clip, s *still.Stills) {
	t.Helper()
	rendered, err := picture.Render(c, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	if rendered == nil {
		return
	}
	if err := rendered.Write(dir); err != nil {
		t.Fatal(err)
	}
	c.Pictures = &rendered.Names
}

// pack writes the file, and returns what it holds by name.
func pack(t testing.TB, dir string, r Report) map[string]string {
	t.Helper()
	if err := Write(dir, r); err != nil {
		t.Fatal(err)
	}
	return contents(t, dir)
}

func contents(t testing.TB, dir string) map[string]string {
	t.Helper()
	z, err := zip.OpenReader(Path(dir))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	held := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		held[f.Name] = string(data)
	}
	return held
}

func TestReportInOneFile(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	dir, doc := reportFolder(t)
	t.Run("whole", func(t *testing.T) { checkWhole(t, dir, doc) })
	t.Run("browser", func(t *testing.T) { checkUnpacked(t, dir) }) // what the first wrote
	t.Run("noise", func(t *testing.T) { checkNoise(t, dir, doc) })
	t.Run("names", func(t *testing.T) { checkNames(t, dir, doc) }) // changes the document
}

// The file weighs at most 300 kB a clip, documents and index included; nothing that is linked is missing, and
// documents are those of the folder, byte for byte.
func checkWhole(t *testing.T, dir string, doc *report.Document) {
	r := Report{Document: doc, Documents: []string{report.AuditDocument, "none.txt"}}
	held := pack(t, dir, r)
	clips := 0
	for i := range doc.Clips {
		if doc.Clips[i].Pictures != nil {
			clips++
		}
	}
	info, err := os.Stat(Path(dir))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes of %d clips with pictures", info.Size(), clips)
	if each := info.Size() / int64(clips); each > ClipBytes {
		t.Errorf("%d bytes a clip", each)
	}
	if filepath.Base(Path(dir)) != "day12.zip" {
		t.Errorf("the file is %s", Path(dir))
	}
	if whole, _ := os.ReadFile(filepath.Join(dir, report.AuditDocument)); held["day12/audit.json"] != string(whole) {
		t.Error("the document is not that of the folder")
	}
	for name, page := range held {
		if path.Ext(name) != ".html" {
			continue
		}
		for _, link := range regexp.MustCompile(`(?:href|src)="([^"#:]+)"`).FindAllStringSubmatch(page, -1) {
			if to := path.Join(path.Dir(name), link[1]); held[to] == "" {
				t.Errorf("%s leads to %s, which is not there", name, to)
			}
		}
	}
	if _, err := os.Stat(filepath.Join(dir, staging)); err == nil {
		t.Error("the folder of its pages is left")
	}
	first := mustRead(t, Path(dir))
	pack(t, dir, r)
	if !bytes.Equal(first, mustRead(t, Path(dir))) {
		t.Error("the same report gives other bytes")
	}
	outsideReader(t, Path(dir), len(held))
}

// Info-ZIP's unzip finds the file whole, with as many entries.
func outsideReader(t *testing.T, name string, entries int) {
	t.Helper()
	unzip, err := exec.LookPath("unzip")
	if err != nil {
		t.Log("unzip is not installed")
		return
	}
	out, err := exec.Command(unzip, "-t", name).CombinedOutput()
	if err != nil || strings.Count(string(out), " OK\n") != entries {
		t.Errorf("unzip says %v: %s", err, out)
	}
}

func mustRead(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// A clip full of noise fits too, with what is measured on its page in larger blocks; its page says that its
// pictures are smaller. One that was light enough is as it was.
func checkNoise(t *testing.T, dir string, doc *report.Document) {
	held := contents(t, dir)
	for i, reduced := range []bool{true, false} {
		name := "day12/" + report.ClipPage(doc.Clips[i].Path)
		if strings.Contains(held[name], "made to be mailed") != reduced {
			t.Errorf("%s: it says that its pictures are smaller: %v", name, !reduced)
		}
		levels := regexp.MustCompile(`data-packed="[^"]*"`)
		here := string(mustRead(t, filepath.Join(dir, filepath.FromSlash(report.ClipPage(doc.Clips[i].Path)))))
		if got := levels.FindString(held[name]); got == "" || (got == levels.FindString(here)) == reduced {
			t.Errorf("%s: what is measured on it is the same: %v", name, reduced)
		}
		if got, whole := sideOf(t, held[name]), sideOf(t, here); reduced && got != 2*whole || !reduced && got != whole {
			t.Errorf("%s measures blocks of %d pixels, the report's page of %d", name, got, whole)
		}
	}
	one := *doc
	one.Clips = doc.Clips[:1]
	p := one.Clips[0].Pictures
	for _, name := range []string{p.StopMap, p.Waveform, p.Channels} { // what hardly anything can be made of
		speckled(t, filepath.Join(dir, filepath.FromSlash(name)))
	}
	takes := reporttest.ShootTakes(t, &one, 1)
	for _, c := range []*report.Comparison{nil, takes} {
		pack(t, dir, Report{Document: &one, Comparison: c})
		if got := len(mustRead(t, Path(dir))); got > ClipBytes {
			t.Errorf("%d bytes of a clip, compared %v", got, c != nil)
		}
	}
}

// speckled puts a picture of nothing but noise in the place of one.
func speckled(t *testing.T, name string) {
	t.Helper()
	drawn, err := png.Decode(bytes.NewReader(mustRead(t, name)))
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewNRGBA(drawn.Bounds())
	rand.NewChaCha8([32]byte{1}).Read(img.Pix)
	var data bytes.Buffer
	if err := png.Encode(&data, img); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, data.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// sideOf is how large the blocks are that a page measures.
func sideOf(t *testing.T, page string) (side int) {
	t.Helper()
	found := regexp.MustCompile(`data-side="(\d+)"`).FindStringSubmatch(page)
	if found == nil {
		t.Fatal("nothing can be measured")
	}
	side, err := strconv.Atoi(found[1])
	if err != nil {
		t.Fatal(err)
	}
	return side
}

// Names in a document that somebody changed lead neither out of the folder nor write anything outside.
func checkNames(t *testing.T, dir string, doc *report.Document) {
	doc.Clips = doc.Clips[:1]
	p := doc.Clips[0].Pictures
	secret := filepath.Join(filepath.Dir(dir), "secret.jpg")
	if err := os.WriteFile(secret, mustRead(t, filepath.Join(dir, p.Thumb)), 0o644); err != nil {
		t.Fatal(err)
	}
	p.Recorded, p.After, p.StopMap = "../secret.jpg", "pictures/../../secret.jpg", secret
	held := pack(t, dir, Report{Document: doc, Documents: []string{"audit.csv"}})
	names := slices.Sorted(func(yield func(string) bool) {
		for name := range held {
			if !yield(name) {
				return
			}
		}
	})
	want := []string{"day12/" + report.ClipPage(doc.Clips[0].Path), "day12/index.html", "day12/" + p.Thumb}
	for _, s := range p.Strips {
		want = append(want, "day12/"+strings.TrimSuffix(s.File, ".png")+".jpg") // full of noise
	}
	slices.Sort(want)
	if !slices.Equal(names, want) {
		t.Errorf("it holds %q, want %q", names, want)
	}
	above, err := fs.Glob(os.DirFS(filepath.Dir(dir)), "*")
	if err != nil || len(above) != 2 {
		t.Errorf("above the folder lie %q (%v)", above, err)
	}
}
