package report

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func readShoot(t testing.TB) Document {
	t.Helper()
	f, err := os.Open("testdata/pages/shoot.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := ReadJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

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
	pageParts = regexp.MustCompile(`(?s)<style>.*?</style>|<script>.*?</script>|<meta http-equiv="Content-Security-Policy"[^>]*>`)
	plotPaths = regexp.MustCompile(`(?s)(<svg class="plot".*?</desc>).*?</svg>`)
	blank     = regexp.MustCompile(`\n\s*\n+`)
)

func pageGolden(t *testing.T, name, page string) {
	t.Helper()
	page = plotPaths.ReplaceAllString(pageParts.ReplaceAllString(page, ""), "$1</svg>")
	golden(t, filepath.Join("pages", name), blank.ReplaceAllString(page, "\n"))
}

func TestPagesGolden(t *testing.T) {
	dir := t.TempDir()
	doc := readShoot(t)
	if err := WritePages(dir, &doc, nil); err != nil {
		t.Fatal(err)
	}
	pageGolden(t, "index.html", written(t, dir, "index.html"))
	for i, name := range []string{"pulled.html", "sky.html", "weak.html", "hidden.html", "nulls.html"} {
		pageGolden(t, name, written(t, dir, clipPage(doc.Clips[i].Path)))
	}
	takes := doc
	takes.Clips = doc.Clips[:2]
	if err := WriteCompare(dir, &takes, nil); err != nil {
		t.Fatal(err)
	}
	pageGolden(t, "compare.html", written(t, dir, comparePage))
	if !strings.Contains(written(t, dir, indexPageName), `href="compare.html"`) {
		t.Error("the index does not link to the comparison")
	}
}

func TestEmptyDocumentHasAPage(t *testing.T) {
	dir := t.TempDir()
	doc := Document{Failed: []Failure{{"a.mov", "is empty"}}}
	if err := WritePages(dir, &doc, nil); err != nil {
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
		doc := readShoot(t)
		if err := WritePages(dir, &doc, nil); err != nil {
			t.Fatal(err)
		}
		pages[i] = written(t, dir, "index.html") + written(t, dir, clipPage(doc.Clips[0].Path))
	}
	if pages[0] != pages[1] {
		t.Error("the same document gives two different pages")
	}
}

// TestMarkupStaysText looks for what a browser would act on.
func TestMarkupStaysText(t *testing.T) {
	dir := t.TempDir()
	doc := readShoot(t)
	const evil = `"><script>alert(1)</script><b style='x'>` + "\u202e"
	c := &doc.Clips[0]
	c.Path, c.Curve.Name, c.Timecode, c.Codec, c.Placement.Method = "a/"+evil, evil, evil, evil, evil
	c.Advice.Findings[0] = Finding{evil, "alarm", evil}
	c.Advice.Next.Text, c.Noise.ModelReason, c.Placement.Candidates[0].Note = evil, evil, evil
	c.Pictures = &Pictures{Thumb: "pictures/" + evil + ".png", Recorded: "javascript:alert(1)"}
	doc.Failed[0] = Failure{evil, evil}
	if err := WritePages(dir, &doc, nil); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"index.html", clipPage(c.Path)} {
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
	if err := os.MkdirAll(filepath.Join(dir, pictureFolder), 0o755); err != nil {
		t.Fatal(err)
	}
	secret := []byte("\x89PNG secret")
	if err := os.WriteFile(filepath.Join(above, "secret.png"), secret, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(above, "secret.png"), filepath.Join(dir, pictureFolder, "link.png")); err != nil {
		t.Skip("no links here")
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	for _, name := range []string{
		"pictures/../../secret.png", "../secret.png", filepath.Join(above, "secret.png"), "pictures/link.png", "pictures/none.png", "", "pictures/",
	} {
		if url := embedded(folder, name); url != "" {
			t.Errorf("%q was put into a page", name)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, pictureFolder, "real.png"), secret, 0o644); err != nil {
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
	doc := readShoot(t)
	doc.Clips = doc.Clips[:1]
	scene := inventedScene{exposure: 1, sky: 3, ceiling: 5.6, read: 2e-2, shot: 5e-3, seed: 7}
	if err := WritePictures(dir, &doc.Clips[0], scene.stills()); err != nil {
		t.Fatal(err)
	}
	if err := WritePages(dir, &doc, nil); err != nil {
		t.Fatal(err)
	}
	page := written(t, dir, clipPage(doc.Clips[0].Path))
	if len(page) > largestPage {
		t.Errorf("the page has %d bytes, more than %d", len(page), largestPage)
	}
	if n := strings.Count(page, "data:image/"); n < 8 {
		t.Errorf("the page carries %d pictures; frame, after, map, clipped, waveform and strips are at least 8", n)
	}
}

func TestCautionIsGivenOnceForAClippedSky(t *testing.T) {
	dir := t.TempDir()
	doc := readShoot(t)
	if err := WritePages(dir, &doc, nil); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{"index.html": 1, clipPage(doc.Clips[1].Path): 1, clipPage(doc.Clips[2].Path): 0} {
		if got := strings.Count(written(t, dir, name), "Never look at the sun"); got != want {
			t.Errorf("%s has the caution %d times, want %d", name, got, want)
		}
	}
}

func TestTypeset(t *testing.T) {
	for text, want := range map[string]string{
		"-4 stops": "−4\u00a0stops", "at -4 stops (-0.5 dB), 12 %": "at −4\u00a0stops (−0.5\u00a0dB), 12\u00a0%",
		"S-Log3 2-3": "S-Log3 2-3", "3 seconds": "3 seconds", "3.4 s": "3.4\u00a0s", "": "",
	} {
		if got := typeset(text); got != want {
			t.Errorf("%q is set %q, want %q", text, got, want)
		}
	}
}

func TestPlotsAreComplete(t *testing.T) {
	doc := readShoot(t)
	for _, c := range doc.Clips[:4] {
		for name, draw := range map[string]func(Clip) (drawing, bool){"histogram": histogramDrawing, "snr": snrDrawing, "transfer": transferDrawing} {
			d, ok := draw(c)
			if !ok {
				t.Errorf("%s has no plot %s", c.Path, name)
				continue
			}
			svg := string(d.SVG)
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Contains(svg, "#0102") || strings.Contains(svg, "Liberation") {
				t.Errorf("plot %s of %s holds what it must not", name, c.Path)
			}
			if len(d.Table.Rows) == 0 || d.Says == "" || !strings.Contains(svg, "<title") || !strings.Contains(svg, "<desc") {
				t.Errorf("plot %s of %s has no numbers or no description", name, c.Path)
			}
		}
	}
	for _, draw := range []func(Clip) (drawing, bool){histogramDrawing, snrDrawing, transferDrawing, placementDrawing, clippedDrawing} {
		if d, ok := draw(doc.Clips[4]); ok {
			t.Errorf("a clip without numbers has a plot %s", d.ID)
		}
	}
}

// BenchmarkClipPage writes one page with all its pictures.
func BenchmarkClipPage(b *testing.B) {
	dir := b.TempDir()
	doc := readShoot(b)
	if err := WritePages(dir, &doc, shootStills(&doc)); err != nil {
		b.Fatal(err)
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer folder.Close()
	for b.Loop() {
		if err := writeClipPage(dir, folder, &doc, 0); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPictures renders and writes the pictures of one clip.
func BenchmarkPictures(b *testing.B) {
	dir := b.TempDir()
	doc := readShoot(b)
	stills := shootStills(&doc)[doc.Clips[0].Path]
	for b.Loop() {
		if err := WritePictures(dir, &doc.Clips[0], stills); err != nil {
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
		if err := templates().ExecuteTemplate(&page, "index.html", newIndexPage(folder, &doc)); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(page.Len()))
	}
}

// Folders stand as the clips were listed, which is in natural order: day 10 comes after day 2.
func TestFoldersKeepTheirOrder(t *testing.T) {
	doc := readShoot(t)
	doc.Clips = doc.Clips[:3]
	for i, path := range []string{"Day 2/a.mov", "Day 10/b.mov", "Day 2/c.mov"} {
		doc.Clips[i].Path = path
	}
	dir := t.TempDir()
	if err := WritePages(dir, &doc, nil); err != nil {
		t.Fatal(err)
	}
	page, last := written(t, dir, indexPageName), -1
	for _, want := range []string{">Day 2</th>", `data-name="a.mov"`, `data-name="c.mov"`, ">Day 10</th>", `data-name="b.mov"`} {
		at := strings.Index(page, want)
		if at <= last {
			t.Errorf("%s is at %d of the page, before what should come first", want, at)
		}
		last = at
	}
}
