package html

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"stopledger/analyze/still"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
	"stopledger/report/picture"
)

// browserTime bounds one test in the browser; a test takes some seconds, and the bound only
// keeps a browser that hangs from holding up the rest.
const browserTime = 120 * time.Second

// newBrowser starts a headless Chromium for a test, or skips it where there is none.
func newBrowser(t testing.TB) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.Flag("no-sandbox", true),
		chromedp.Flag("disable-gpu", true),
		chromedp.Flag("disable-background-networking", true),
		chromedp.WSURLReadTimeout(browserTime),
	)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	if err := chromedp.Do(ctx); err != nil { // starts it; a bound from here on would end with this call
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(ctx, browserTime)
	t.Cleanup(cancel)
	return ctx
}

func fileURL(dir, name string) string {
	return "file://" + filepath.ToSlash(filepath.Join(dir, name))
}

// A witness notes what a page complains of and what it asks for.
type witness struct {
	mu        sync.Mutex
	complains []string
	asks      []string
}

func watch(t *testing.T, ctx context.Context) *witness {
	t.Helper()
	w := &witness{}
	err := chromedp.Listen(ctx, func(ev any) {
		w.mu.Lock()
		defer w.mu.Unlock()
		switch e := ev.(type) {
		case *network.EventRequestWillBeSent:
			w.asks = append(w.asks, e.Request.URL)
		case *runtime.EventExceptionThrown:
			w.complains = append(w.complains, fmt.Sprint(e.ExceptionDetails))
		case *runtime.EventConsoleAPICalled:
			w.complains = append(w.complains, fmt.Sprint("console ", e.Type))
		case *log.EventEntryAdded:
			w.complains = append(w.complains, e.Entry.Text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	return w
}

// check fails the test for any complaint, and for any request that leaves dir.
func (w *witness) check(t *testing.T, dir string) {
	t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.complains {
		t.Errorf("the page complains: %s", c)
	}
	if len(w.asks) == 0 {
		t.Error("no request was seen, so the watch does not work")
	}
	for _, url := range w.asks {
		if !strings.HasPrefix(url, fileURL(dir, "")) && !strings.HasPrefix(url, "data:") &&
			!strings.HasPrefix(url, "blob:") {
			t.Errorf("the page asks for %s", url)
		}
	}
}

// run runs steps and fails the test on an error.
func run(t testing.TB, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// ask evaluates an expression in the page.
func ask[T any](t testing.TB, ctx context.Context, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// shootPages writes the invented shoot with its pictures and all its takes side by side.
func shootPages(t testing.TB) (dir string, doc *report.Document) {
	t.Helper()
	dir, doc = t.TempDir(), reporttest.Shoot(t)
	writePictures(t, dir, doc)
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparison(dir, reporttest.ShootTakes(t, doc, len(doc.Clips))); err != nil {
		t.Fatal(err)
	}
	return dir, doc
}

// writePictures renders the pictures of the invented shoot.
func writePictures(t testing.TB, dir string, doc *report.Document) {
	t.Helper()
	stills := reporttest.ShootStills(doc)
	for i := range doc.Clips {
		draw(t, dir, &doc.Clips[i], stills[doc.Clips[i].Path])
	}
}

// draw renders a clip's pictures and writes them.
func draw(t testing.TB, dir string, c *report.Clip, stills *still.Stills) {
	t.Helper()
	rendered, err := picture.Render(c, stills, nil)
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

func TestPagesInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	ctx := newBrowser(t)
	dir, doc := shootPages(t)
	t.Run("alone", func(t *testing.T) { checkAlone(t, ctx, dir, doc) })
	w := watch(t, ctx)
	t.Run("index", func(t *testing.T) { checkIndex(t, ctx, dir) })
	t.Run("address", func(t *testing.T) { checkAddress(t, ctx, dir) })
	t.Run("review", func(t *testing.T) { checkReview(t, ctx, dir) })
	t.Run("timeline", func(t *testing.T) { checkTimeline(t, ctx, dir) })
	t.Run("paper", func(t *testing.T) { checkPaper(t, ctx, dir) })
	t.Run("divider", func(t *testing.T) { checkDivider(t, ctx, dir, doc) })
	t.Run("measure", func(t *testing.T) { checkMeasure(t, ctx, dir, doc) })
	t.Run("turned", func(t *testing.T) { checkTurned(t, ctx, dir, doc) })
	t.Run("zoom", func(t *testing.T) { checkZoom(t, ctx, dir, doc) })
	t.Run("keys", func(t *testing.T) { checkKeys(t, ctx, dir, doc) })
	t.Run("motion", func(t *testing.T) { checkMotion(t, ctx, dir, doc) })
	t.Run("compare", func(t *testing.T) { checkCompare(t, ctx, dir) })
	t.Run("widths", func(t *testing.T) { checkWidths(t, ctx, dir, doc) })
	t.Run("apart", func(t *testing.T) { checkApart(t, ctx, dir, doc) })
	t.Run("access", func(t *testing.T) { checkAccess(t, ctx, dir, doc) })
	t.Run("keyboard", func(t *testing.T) { checkKeyboard(t, ctx, dir, doc) })
	t.Run("engine", func(t *testing.T) { checkEngine(t, ctx, dir, doc) })
	t.Run("barrier", func(t *testing.T) { checkEngineSees(t, ctx, dir) })
	t.Run("print", func(t *testing.T) { checkPrint(t, ctx, dir, doc) })
	w.check(t, dir)
}

// quickly is how soon a page of 2,000 clips is there on an idle machine of two cores, in milliseconds.
const quickly = 1000

// checkQuick loads the page some times, and is strict with the quickest where the long tests run.
func checkQuick(t *testing.T, ctx context.Context) {
	t.Helper()
	best := math.Inf(1)
	for range 3 {
		run(t, ctx, chromedp.Reload())
		best = min(best, ask[float64](t, ctx, `performance.getEntriesByType("navigation")[0].loadEventEnd`))
	}
	t.Logf("loaded and laid out in %.0f ms", best)
	if best > quickly && os.Getenv("STOPLEDGER_FULL") != "" {
		t.Errorf("the quickest of three loads takes %.0f ms, more than %d", best, quickly)
	}
}

// largeShoot is a document of 2,000 clips in 20 folders.
func largeShoot(t testing.TB) *report.Document {
	doc := reporttest.Shoot(t)
	few := doc.Clips
	doc.Clips = nil
	for i := range 2000 {
		c := few[i%len(few)]
		c.Path = fmt.Sprintf("Day %d/%s/%04d %s", i/1000+1, []string{"pier", "deck"}[i/100%2], i, report.ClipName(c.Path))
		doc.Clips = append(doc.Clips, c)
	}
	return doc
}

func TestLargeIndexInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	ctx := newBrowser(t)
	dir, doc := t.TempDir(), largeShoot(t)
	folder, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	if err := writePage(filepath.Join(dir, report.IndexPage), "index", newIndex(folder, doc)); err != nil {
		t.Fatal(err)
	}
	w := watch(t, ctx)
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, "index.html")))
	if got := ask[string](t, ctx, `document.getElementById("shown").textContent`); got != "2000 clips" {
		t.Errorf("the count says %q", got)
	}
	// Rows out of sight are not laid out, which is what makes the page quick, until somebody comes near.
	const isLaidOut = `document.querySelector(".clip:last-child a").checkVisibility({contentVisibilityAuto: true})`
	if ask[bool](t, ctx, isLaidOut) {
		t.Error("a row far below is laid out before anybody sees it")
	}
	checkQuick(t, ctx)
	t.Logf("sorted in %.0f ms", ask[float64](t, ctx,
		`(() => { const t = performance.now(); document.querySelector('[data-key="clipped"] button').click();
			document.body.offsetHeight; return performance.now() - t })()`))
	ask[bool](t, ctx, `(window.scrollTo(0, document.body.scrollHeight / 2), true)`)
	const inSight = `(() => [300, 600].some(y => document.elementFromPoint(500, y).closest(".clip")?.querySelector("a")` +
		`.checkVisibility({contentVisibilityAuto: true})))()`
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](inSight)); err != nil {
		t.Error("the row in sight is not laid out: ", err)
	}
	if got := ask[float64](t, ctx, `document.querySelector(".clips thead").getBoundingClientRect().top`); got != 0 {
		t.Errorf("scrolled to the middle the heads of the columns are at %g px, not at the top", got)
	}
	w.check(t, dir)
}
