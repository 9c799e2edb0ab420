package html

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

var look = flag.String("look", "", "a folder to write the invented shoot's pages and screenshots of them into")

// TestLook writes what a person has to judge: go test ./report/html -run TestLook -look /tmp/pages
func TestLook(t *testing.T) {
	if *look == "" {
		t.Skip("no folder is named with -look")
	}
	doc := reporttest.Shoot(t)
	if err := os.MkdirAll(*look, 0o755); err != nil {
		t.Fatal(err)
	}
	writePictures(t, *look, doc)
	if err := Write(*look, doc); err != nil {
		t.Fatal(err)
	}
	takes := reporttest.ShootTakes(t, doc, 2)
	takes.Failed = nil
	apart := filepath.Join(*look, "takes")
	if err := os.MkdirAll(apart, 0o755); err != nil {
		t.Fatal(err)
	}
	writePictures(t, apart, doc)
	if err := WriteComparison(apart, takes); err != nil {
		t.Fatal(err)
	}
	if err := WriteDays(filepath.Join(*look, "days.html"), months()); err != nil {
		t.Fatal(err)
	}
	ctx := newBrowser(t)
	lookMeasured(t, ctx, *look, &doc.Clips[0])
	for _, page := range []struct{ name, file string }{
		{"index", "index.html"},
		{"sheet", "index.html#view=sheet"},
		{"pulled", report.ClipPage(doc.Clips[0].Path)},
		{"sky", report.ClipPage(doc.Clips[1].Path)},
		{"weak", report.ClipPage(doc.Clips[2].Path)},
		{"hidden", report.ClipPage(doc.Clips[3].Path)},
		{"nulls", report.ClipPage(doc.Clips[4].Path)},
		{"compare", "takes/" + report.ComparePage},
		{"days", "days.html"},
	} {
		for _, as := range []struct {
			name, scheme string
			width        int64
		}{{"light", "light", 1360}, {"dark", "dark", 1360}, {"forced", "forced", 1360}, {"phone", "dark", 390},
			{"paper", "print", 794}} {
			png := screenshot(t, ctx, fileURL(*look, page.file), as.scheme, as.width)
			if err := os.WriteFile(filepath.Join(*look, page.name+"-"+as.name+".png"), png, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// lookMeasured takes what a clip's page shows at work: an area measured, enlarged, and full screen.
func lookMeasured(t *testing.T, ctx context.Context, dir string, c *report.Clip) {
	t.Helper()
	openClip(t, ctx, dir, c)
	run(t, ctx, chromedp.Click(chromedp.CSS(".candidate")), chromedp.Click(chromedp.CSS(`[data-zoom="400"]`)),
		chromedp.Click(chromedp.CSS(`[data-shows="clipped"]`)))
	for _, shot := range [][2]string{{"measured", ""}, {"full", "z"}} {
		name, key := shot[0], shot[1]
		if key != "" {
			run(t, ctx, chromedp.KeyEvent(key), chromedp.Sleep(time.Second))
		}
		png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+"-light.png"), png, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// screenshot returns the whole page as PNG, in a colour scheme or as printed.
func screenshot(t *testing.T, ctx context.Context, url, scheme string, width int64) []byte {
	t.Helper()
	media := emulation.SetEmulatedMediaParams{Features: schemes[scheme]}
	if scheme == "print" {
		media = emulation.SetEmulatedMediaParams{Media: "print"}
	}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(url))
	height := ask[int64](t, ctx, `document.documentElement.scrollHeight`)
	run(t, ctx, chromedp.EmulateViewport(width, height)) // rows out of sight are not drawn
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatal(err)
	}
	return png
}
