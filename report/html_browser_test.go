package report

import (
	"context"
	"fmt"
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
	"github.com/chromedp/chromedp/kb"
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
		if !strings.HasPrefix(url, fileURL(dir, "")) && !strings.HasPrefix(url, "data:") {
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

// shownNames are the clips visible in the index, in order.
const shownNames = `[...document.querySelectorAll(".clip")].filter(r => !r.hidden && !r.parentNode.hidden).map(r => r.dataset.name).join("|")`

func shootPages(t testing.TB) (dir string, doc Document) {
	t.Helper()
	dir, doc = t.TempDir(), readShoot(t)
	if err := WritePages(dir, &doc, shootStills(&doc)); err != nil {
		t.Fatal(err)
	}
	takes := doc
	takes.Clips = doc.Clips[:3]
	if err := WriteCompare(dir, &takes, nil); err != nil {
		t.Fatal(err)
	}
	return dir, doc
}

func TestPagesInABrowser(t *testing.T) {
	ctx := newBrowser(t)
	dir, doc := shootPages(t)
	w := watch(t, ctx)
	t.Run("index", func(t *testing.T) { checkIndex(t, ctx, dir) })
	t.Run("divider", func(t *testing.T) { checkDivider(t, ctx, dir, doc) })
	t.Run("probe", func(t *testing.T) { checkProbe(t, ctx, dir, doc) })
	t.Run("motion", func(t *testing.T) { checkMotion(t, ctx, dir, doc) })
	t.Run("compare", func(t *testing.T) { checkCompare(t, ctx, dir) })
	t.Run("phone", func(t *testing.T) { checkPhone(t, ctx, dir, doc) })
	t.Run("print", func(t *testing.T) { checkPrint(t, ctx, dir, doc) })
	w.check(t, dir)
}

func checkIndex(t *testing.T, ctx context.Context, dir string) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, "index.html")))
	odd := `<img src=x onerror=alert(1)> & "take" день 5.mov`
	if got := ask[string](t, ctx, `document.querySelector('[data-place="4"] .clipname').textContent`); got != odd {
		t.Errorf("the odd name shows as %q", got)
	}
	if got := ask[int](t, ctx, `[...document.images].filter(i => i.loading !== "lazy").length`); got != 0 {
		t.Errorf("%d pictures are not loaded lazily, or a name became one", got)
	}
	if !ask[bool](t, ctx, `document.querySelector(".clip img").naturalWidth > 0`) {
		t.Error("thumbnails do not load")
	}
	run(t, ctx, chromedp.Click(chromedp.ID("folders")), chromedp.Click(chromedp.CSS(`th[data-key="grey"] button`)))
	up := ask[string](t, ctx, shownNames)
	if want := "ferry deck 2.mxf|ferry deck 3.mp4|pier wide 3.mov|pier close 1.mov|" + odd; up != want {
		t.Errorf("sorted by grey: %s", up)
	}
	run(t, ctx, chromedp.Focus(chromedp.CSS(`th[data-key="grey"] button`)), chromedp.KeyEvent(kb.Enter))
	if got, want := ask[string](t, ctx, shownNames), "pier close 1.mov|pier wide 3.mov|ferry deck 3.mp4|ferry deck 2.mxf|"+odd; got != want {
		t.Errorf("sorted down by the keyboard: %s", got)
	}
	if got := ask[string](t, ctx, `document.querySelector("[aria-sort]").getAttribute("aria-sort")`); got != "descending" {
		t.Errorf("aria-sort is %q", got)
	}
	run(t, ctx, chromedp.SendKeys(chromedp.ID("find"), "FERRY codec"))
	if got := ask[string](t, ctx, shownNames); got != "ferry deck 3.mp4" {
		t.Errorf("found %s", got)
	}
	if got := ask[string](t, ctx, `document.getElementById("shown").textContent`); got != "1 of 5 clips" {
		t.Errorf("the count says %q", got)
	}
	run(t, ctx, chromedp.SendKeys(chromedp.ID("find"), " nothing like it"), chromedp.Click(chromedp.ID("reset")))
	if got := strings.Count(ask[string](t, ctx, shownNames), "|"); got != 4 {
		t.Errorf("after the reset %d clips are shown", got+1)
	}
	ask[string](t, ctx, `(() => { const s = document.getElementById("level"); s.value = "alarm"; s.dispatchEvent(new Event("change")); return s.value })()`)
	if got := ask[string](t, ctx, shownNames); got != "pier close 1.mov|"+odd {
		t.Errorf("that need a person: %s", got)
	}
}

func checkDivider(t *testing.T, ctx context.Context, dir string, doc Document) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, clipPage(doc.Clips[0].Path))))
	const cut = `parseFloat(document.querySelector(".divider").style.getPropertyValue("--cut"))`
	const box = `(() => { const w = document.querySelector(".divider"); w.scrollIntoView({block: "center"}); const r = w.getBoundingClientRect(); return [r.left, r.top, r.width, r.height] })()`
	r := ask[[]float64](t, ctx, box)
	y := r[1] + r[3]/2
	run(t, ctx, chromedp.DragAndDropXY(r[0]+r[2]/2, y, r[0]+r[2]/4, y, 4))
	if got := ask[float64](t, ctx, cut); got < 23 || got > 27 {
		t.Errorf("dragged to a quarter the divider is at %g %%", got)
	}
	if got := ask[string](t, ctx, `getComputedStyle(document.querySelector(".beyond")).clipPath`); !strings.Contains(got, "%") {
		t.Errorf("the picture after the pull is cut by %q", got)
	}
	before := ask[float64](t, ctx, cut)
	run(t, ctx, chromedp.Focus(chromedp.CSS(".divider input")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	if got := ask[float64](t, ctx, cut); got != before+1 {
		t.Errorf("two steps right move the divider from %g to %g", before, got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-shows="outline"]`)))
	if !ask[bool](t, ctx, `document.querySelector(".outline").hasAttribute("hidden")`) {
		t.Error("the outline of the card is still shown")
	}
	if ask[bool](t, ctx, `[...document.images].some(i => i.complete && i.naturalWidth === 0)`) {
		t.Error("a picture does not load")
	}
}

func checkProbe(t *testing.T, ctx context.Context, dir string, doc Document) {
	run(t, ctx, chromedp.Navigate(fileURL(dir, clipPage(doc.Clips[0].Path))))
	const reading = `document.getElementById("reading").textContent`
	r := ask[[]float64](t, ctx, `(() => { const w = document.querySelector(".probe"); w.scrollIntoView({block: "center"}); const r = w.getBoundingClientRect(); return [r.left, r.top, r.width, r.height] })()`)
	// The card of the invented scene is grey, recorded at +1.31 stops, and fills this place.
	run(t, ctx, chromedp.MouseEvent("mouseMoved", r[0]+0.68*r[2], r[1]+0.61*r[3]))
	code := inventedCode(nominalGrey * 2.479) // 2^1.31
	want := fmt.Sprintf("+1.3\u00a0stops · code\u00a0%d · %.1f\u00a0%%", code, (float64(code)-64)/8.76)
	if got := ask[string](t, ctx, reading); got != want {
		t.Errorf("the card reads %q, want %q", got, want)
	}
	run(t, ctx, chromedp.MouseEvent("mouseMoved", r[0]+0.19*r[2], r[1]+0.59*r[3]))
	if got := ask[string](t, ctx, reading); !strings.Contains(got, "clipped in R") {
		t.Errorf("the lit window reads %q", got)
	}
	run(t, ctx, chromedp.Focus(chromedp.CSS(".probe")))
	before := ask[string](t, ctx, `document.querySelector(".cross").style.left`)
	run(t, ctx, chromedp.KeyEvent(kb.ArrowLeft))
	if got := ask[string](t, ctx, `document.querySelector(".cross").style.left`); got == before {
		t.Error("the arrow keys do not move the probe")
	}
}

func checkMotion(t *testing.T, ctx context.Context, dir string, doc Document) {
	run(t, ctx, chromedp.Navigate(fileURL(dir, clipPage(doc.Clips[0].Path))))
	const state = `getComputedStyle(document.querySelector(".window img")).animationPlayState`
	if got := ask[string](t, ctx, state); got != "running" {
		t.Errorf("the enlarged piece is %s", got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(".motion")))
	if got := ask[string](t, ctx, state); got != "paused" {
		t.Errorf("held still it is %s", got)
	}
	const size = `(() => { const w = document.querySelector(".window").getBoundingClientRect(), i = document.querySelector(".window img"); return [w.width, w.height, i.naturalWidth / 8, i.naturalHeight] })()`
	if got := ask[[]float64](t, ctx, size); got[0] != got[2] || got[1] != got[3] || got[0] != stripSide*stripScale {
		t.Errorf("window and frame are %v", got)
	}
}

func checkCompare(t *testing.T, ctx context.Context, dir string) {
	run(t, ctx, chromedp.Navigate(fileURL(dir, comparePage)))
	const under = `[...document.querySelectorAll(".layer")].filter(l => getComputedStyle(l).display !== "none").map(l => l.dataset.take).join()`
	if got := ask[string](t, ctx, under); got != "A,B" {
		t.Errorf("under the divider lie %s", got)
	}
	ask[string](t, ctx, `(() => { const s = document.getElementById("right"); s.value = "C"; s.dispatchEvent(new Event("change")); return s.value })()`)
	if got := ask[string](t, ctx, under); got != "A,C" {
		t.Errorf("after C was chosen lie %s", got)
	}
	if got := ask[int](t, ctx, `document.querySelectorAll(".motionwell .window").length`); got != 2 {
		t.Errorf("%d pieces move under the small divider", got)
	}
}

func checkPhone(t *testing.T, ctx context.Context, dir string, doc Document) {
	names := []string{"index.html", comparePage}
	for _, c := range doc.Clips {
		names = append(names, clipPage(c.Path))
	}
	for _, name := range names {
		run(t, ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Navigate(fileURL(dir, name)))
		if got := ask[int](t, ctx, `document.documentElement.scrollWidth`); got > 390 {
			wide := ask[string](t, ctx, `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > 391 && !e.closest(".scroll, .window, svg")).map(e => e.tagName + "." + e.className).slice(0, 5).join(" ")`)
			t.Errorf("%s is %d wide: %s", name, got, wide)
		}
	}
	run(t, ctx, chromedp.EmulateViewport(1280, 900))
}

func checkPrint(t *testing.T, ctx context.Context, dir string, doc Document) {
	for _, name := range []string{"index.html", clipPage(doc.Clips[1].Path), comparePage} {
		run(t, ctx, chromedp.Navigate(fileURL(dir, name)))
		pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF())
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(pdf), "%PDF-") || len(pdf) < 10_000 {
			t.Errorf("%s prints to %d bytes", name, len(pdf))
		}
		if *look != "" {
			os.WriteFile(filepath.Join(*look, filepath.Base(name)+".pdf"), pdf, 0o644)
		}
	}
}

// largeShoot is a document of 2,000 clips in 20 folders.
func largeShoot(t testing.TB) Document {
	doc := readShoot(t)
	few := doc.Clips
	doc.Clips = nil
	for i := range 2000 {
		c := few[i%len(few)]
		c.Path = fmt.Sprintf("Day %d/%s/%04d %s", i/1000+1, []string{"pier", "deck"}[i/100%2], i, clipName(c.Path))
		doc.Clips = append(doc.Clips, c)
	}
	return doc
}

func TestLargeIndexInABrowser(t *testing.T) {
	ctx := newBrowser(t)
	dir, doc := t.TempDir(), largeShoot(t)
	if err := writePage(filepath.Join(dir, "index.html"), "index", newIndexPage(&doc)); err != nil {
		t.Fatal(err)
	}
	w := watch(t, ctx)
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, "index.html")))
	if got := ask[string](t, ctx, `document.getElementById("shown").textContent`); got != "2000 clips" {
		t.Errorf("the count says %q", got)
	}
	t.Logf("loaded and laid out in %.0f ms", ask[float64](t, ctx, `performance.getEntriesByType("navigation")[0].loadEventEnd`))
	t.Logf("sorted in %.0f ms", ask[float64](t, ctx, `(() => { const t = performance.now(); document.querySelector('[data-key="clipped"] button').click(); document.body.offsetHeight; return performance.now() - t })()`))
	w.check(t, dir)
}
