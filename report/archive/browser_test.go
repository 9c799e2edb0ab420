package archive

import (
	"archive/zip"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"stopledger/report"
)

// The file, unpacked, is opened from a file URL: the index shows its pictures and leads to the pages of its
// clips, which carry theirs, and nothing is asked of anything outside.
func checkUnpacked(t *testing.T, dir string) {
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	unpacked := t.TempDir()
	z, err := zip.OpenReader(Path(dir))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if err := os.CopyFS(unpacked, z); err != nil {
		t.Fatal(err)
	}
	ctx, stop := chromedp.NewExecAllocator(t.Context(), append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true),
		chromedp.Flag("disable-background-networking", true), chromedp.WSURLReadTimeout(time.Minute))...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	base, asks := "file://"+filepath.ToSlash(unpacked)+"/", askedFor(t, ctx)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1100, 900),
		chromedp.Navigate(base+"day12/"+report.IndexPage)); err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct{ what, click, expression string }{
		{"the pictures of the index show", ".clip a:has(img)", `[...document.querySelectorAll(".clip img")].length > 0 &&
			[...document.querySelectorAll(".clip img")].every(i => i.naturalWidth > 0)`},
		{"the page of a clip shows its pictures", ".trail a", `location.pathname.includes("/clips/") &&
			document.images.length > 5 && [...document.images].every(i => i.complete && i.naturalWidth > 0)`},
		{"the index shows again", "", `location.pathname.endsWith("/index.html") && !!document.querySelector(".clips")`},
	} {
		if _, err := chromedp.Run(ctx, chromedp.Poll[bool](step.expression)); err != nil {
			state, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`location.href + " " + [...document.images].map(i =>
				i.src.slice(0, 80) + " " + i.naturalWidth).join("; ")`))
			t.Fatalf("%s: %v; %s", step.what, err, state)
		}
		if step.click != "" {
			link := chromedp.Evaluate[string]("document.querySelector(" + strconv.Quote(step.click) + ").href")
			to, err := chromedp.Run(ctx, link)
			if err != nil {
				t.Fatal(err)
			}
			if err := chromedp.Do(ctx, chromedp.Navigate(to)); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, url := range asks() {
		if !strings.HasPrefix(url, base) && !strings.HasPrefix(url, "data:") {
			t.Errorf("a page asks for %s", url)
		}
	}
	if len(asks()) == 0 {
		t.Error("no request was seen, so the watch does not work")
	}
}

// askedFor notes what pages ask for, from now on, and tells it.
func askedFor(t *testing.T, ctx context.Context) func() []string {
	t.Helper()
	var mu sync.Mutex
	var asks []string
	err := chromedp.Listen(ctx, func(ev any) {
		if e, ok := ev.(*network.EventRequestWillBeSent); ok {
			mu.Lock()
			defer mu.Unlock()
			asks = append(asks, e.Request.URL)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return slices.Clone(asks)
	}
}
