package html

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// written returns the text of a page in dir.
func written(t testing.TB, dir, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Parts of a page left out of its golden file: style sheet and script are files of their own, the
// policy carries the script's hash, and the last bit of a plot's coordinates may differ between
// processors.
var (
	pageParts = regexp.MustCompile(`(?s)<style>.*?</style>|<script>.*?</script>|` +
		`<meta http-equiv="Content-Security-Policy"[^>]*>`)
	plotPaths = regexp.MustCompile(`(?s)(<svg class="plot".*?</desc>).*?</svg>`)
	blank     = regexp.MustCompile(`\n\s*\n+`)
	carried   = regexp.MustCompile(`(href="data:application/octet-stream;base64,)[^"]*`)
	pictured  = regexp.MustCompile(`(pictures/[0-9A-Za-z-]+-[0-9a-f]{10})-[0-9a-f]{6}-`) // by what they show
)

func pageGolden(t *testing.T, name, page string) {
	t.Helper()
	page = pictured.ReplaceAllString(page, "$1-KEY-")
	page = carried.ReplaceAllString(page, "$1...")
	page = plotPaths.ReplaceAllString(pageParts.ReplaceAllString(page, ""), "$1</svg>")
	reporttest.Golden(t, "pages/"+name, blank.ReplaceAllString(page, "\n"))
}

func TestPagesGolden(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	pageGolden(t, "index.html", written(t, dir, "index.html"))
	for i, name := range []string{"pulled.html", "sky.html", "weak.html", "hidden.html", "nulls.html"} {
		pageGolden(t, name, written(t, dir, report.ClipPage(doc.Clips[i].Path)))
	}
	if err := WriteComparison(dir, reporttest.ShootTakes(t, doc, 2)); err != nil {
		t.Fatal(err)
	}
	pageGolden(t, "compare.html", written(t, dir, report.ComparePage))
	if !strings.Contains(written(t, dir, report.IndexPage), `href="compare.html"`) {
		t.Error("the index does not link to the comparison")
	}
}

func TestEmptyDocumentHasAPage(t *testing.T) {
	dir := t.TempDir()
	doc := &report.Document{Failed: []report.Failure{{Path: "a.mov", Error: "is empty"}}}
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	page := written(t, dir, "index.html")
	for _, want := range []string{"No clip was measured", "a.mov", "is empty"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func TestPagesAreTheSameTwice(t *testing.T) {
	var pages [2]string
	for i := range pages {
		dir := t.TempDir()
		doc := reporttest.Shoot(t)
		if err := Write(dir, doc); err != nil {
			t.Fatal(err)
		}
		pages[i] = written(t, dir, "index.html") + written(t, dir, report.ClipPage(doc.Clips[0].Path))
	}
	if pages[0] != pages[1] {
		t.Error("the same document gives two different pages")
	}
}

// TestMarkupStaysText looks for what a browser would act on.
func TestMarkupStaysText(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	const evil = `"><script>alert(1)</script><b style='x'>` + "\u202e"
	c := &doc.Clips[0]
	c.Path, c.Curve.Name, c.Timecode, c.Codec, c.Placement.Method = "a/"+evil, evil, evil, evil, evil
	c.Advice.Summary, c.Advice.Findings[0] = evil, advise.Finding{ID: evil, Level: advise.Alarm, Text: evil}
	c.Advice.Next.Text, c.Noise.ModelReason, c.Placement.Candidates[0].Note = evil, evil, evil
	c.Pictures = &report.Pictures{Thumb: "pictures/" + evil + ".png", Recorded: "javascript:alert(1)"}
	doc.Failed[0] = report.Failure{Path: evil, Error: evil}
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"index.html", report.ClipPage(c.Path)} {
		page := written(t, dir, name)
		for _, bad := range []string{"<script>alert", "<b style", "javascript:", "\u202e"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
	}
}

// TestPicturesStayInTheFolder names files outside the report, by path and by link.
func TestPicturesStayInTheFolder(t *testing.T) {
	above := t.TempDir()
	dir := filepath.Join(above, "report")
	if err := os.MkdirAll(filepath.Join(dir, report.PictureFolder), 0o755); err != nil {
		t.Fatal(err)
	}
	secret := []byte("\x89PNG secret")
	if err := os.WriteFile(filepath.Join(above, "secret.png"), secret, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(above, "secret.png"), filepath.Join(dir, report.PictureFolder,
		"link.png")); err != nil {
		t.Skip("no links here")
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	for _, name := range []string{
		"pictures/../../secret.png", "../secret.png", filepath.Join(above, "secret.png"), "pictures/link.png",
		"pictures/none.png", "", "pictures/",
	} {
		if url := embedded(folder, name); url != "" {
			t.Errorf("%q was put into a page", name)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, report.PictureFolder, "real.png"), secret, 0o644); err != nil {
		t.Fatal(err)
	}
	if url := embedded(folder, "pictures/real.png"); !strings.HasPrefix(string(url), "data:image/png;base64,") {
		t.Errorf("a picture of the report gives %q", url)
	}
}

// largestPage is what a clip's page may weigh so that it can be mailed.
const largestPage = 1_500_000

// TestPageCanBeMailed writes the heaviest page there is: noise does not compress.
func TestPageCanBeMailed(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	doc.Clips = doc.Clips[:1]
	scene := reporttest.Scene{Exposure: 1, Sky: 3, Ceiling: 5.6, Read: 2e-2, Shot: 5e-3, Seed: 7}
	draw(t, dir, &doc.Clips[0], scene.Stills(doc.Clips[0].Width))
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	page := written(t, dir, report.ClipPage(doc.Clips[0].Path))
	if len(page) > largestPage {
		t.Errorf("the page has %d bytes, more than %d", len(page), largestPage)
	}
	if n := strings.Count(page, "data:image/"); n < 6 {
		t.Errorf("the page carries %d pictures; frame, after, map, clipped and two waveforms are 6", n)
	}
	for _, kind := range []string{"-full.jpg", "-full-after.jpg", "-strip0.png", "-strip1.png"} {
		if n := strings.Count(page, kind); n == 0 {
			t.Errorf("the page does not show %s, which lies beside it", kind)
		}
	}
}

func TestCautionIsGivenOnceForAClippedSky(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{"index.html": 1, report.ClipPage(doc.Clips[1].Path): 1,
		report.ClipPage(doc.Clips[2].Path): 0} {
		if got := strings.Count(written(t, dir, name), "Never look at the sun"); got != want {
			t.Errorf("%s has the caution %d times, want %d", name, got, want)
		}
	}
}

// BenchmarkClipPage writes one page with all its pictures.
func BenchmarkClipPage(b *testing.B) {
	dir := b.TempDir()
	doc := reporttest.Shoot(b)
	writePictures(b, dir, doc)
	if err := Write(dir, doc); err != nil {
		b.Fatal(err)
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer folder.Close()
	for b.Loop() {
		if err := writeClip(dir, folder, doc, doc.Paths(), 0, &doc.Clips[0]); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkIndex makes the index of a large shoot.
func BenchmarkIndex(b *testing.B) {
	doc := largeShoot(b)
	folder, err := os.OpenRoot(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer folder.Close()
	for b.Loop() {
		var page bytes.Buffer
		if err := templates().ExecuteTemplate(&page, "index.html", newIndex(folder, doc)); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(page.Len()))
	}
}

// Clips in brief are enough for the index; each page is made of its whole clip.
func TestPagesOfClipsInBrief(t *testing.T) {
	whole, brief := t.TempDir(), t.TempDir()
	doc := reporttest.Day(t)
	in := streamed(doc)
	if err := errors.Join(Write(whole, doc), Write(brief, in)); err != nil {
		t.Fatal(err)
	}
	for _, name := range append([]string{report.IndexPage}, clipPages(doc)...) {
		if written(t, whole, name) != written(t, brief, name) {
			t.Errorf("%s differs", name)
		}
	}
}

// streamed is a document that does not hold its clips.
func streamed(doc *report.Document) *report.Document {
	in := *doc
	in.Clips, in.Stream = nil, &report.Stream{Each: doc.EachClip}
	for i := range doc.Clips {
		in.Stream.Add(&doc.Clips[i])
	}
	return &in
}

func clipPages(doc *report.Document) (names []string) {
	for _, c := range doc.Clips {
		names = append(names, report.ClipPage(c.Path))
	}
	return names
}
