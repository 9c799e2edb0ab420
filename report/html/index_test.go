package html

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopledger/report"
)

// choose chooses a value as a person does.
func choose(t testing.TB, ctx context.Context, id, value string) {
	t.Helper()
	got := ask[string](t, ctx, `(() => { const s = document.getElementById("`+id+`"); s.value = "`+value+
		`"; s.dispatchEvent(new Event("change")); return s.value })()`)
	if got != value {
		t.Errorf("%s cannot be %q", id, value)
	}
}

// Filters, order and view stand in the address, are there after a reload and in another tab, and follow the
// address; a place within the page is none of them.
func checkAddress(t *testing.T, ctx context.Context, dir string) {
	page := fileURL(dir, report.IndexPage)
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(page))
	if got := ask[string](t, ctx, `location.hash`); got != "" {
		t.Errorf("at first the address has %s", got)
	}
	choose(t, ctx, "sort", "-clipped")
	choose(t, ctx, "level", "caution")
	choose(t, ctx, "view", "sheet")
	run(t, ctx, chromedp.SendKeys(chromedp.ID("find"), "deck & 2"))
	const state = `location.hash + " " + document.querySelector(".clips").className + " " +
		["find", "level", "sort", "view"].map(id => document.getElementById(id).value).join("|") + " " + ` + shownNames
	const want = "#find=deck+%26+2&show=caution&sort=-clipped&view=sheet clips sheet deck & 2|caution|-clipped|sheet "
	got := ask[string](t, ctx, state)
	if got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	run(t, ctx, chromedp.Reload())
	if after := ask[string](t, ctx, state); after != got {
		t.Errorf("after a reload it is %q, before %q", after, got)
	}
	ask[bool](t, ctx, `(location.hash = "sort=name&by=folder&view=nothing", true)`)
	const folders = `[...document.querySelectorAll(".folder")].map(f => f.textContent).join("|") + " " + ` + shownNames
	// Folders stand as the clips were listed, not as their clips are ordered.
	const grouped = "Day 4/North pier|Day 4/Night ferry|loose pier close 1.mov|pier wide 3.mov|ferry deck 2.mxf|"
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](`document.querySelectorAll(".folder").length === 3`)); err != nil {
		t.Error("clips are not put into folders: ", err)
	}
	if got := ask[string](t, ctx, folders); !strings.HasPrefix(got, grouped) {
		t.Errorf("by folder: %s", got)
	}
	ask[bool](t, ctx, `(location.hash = "main", true)`)
	if got := ask[string](t, ctx, `document.getElementById("sort").value`); got != "name" {
		t.Errorf("a place in the page changes the order to %q", got)
	}
}

// Ticks and notes survive a reload, can be asked for, and are saved as JSON.
func checkReview(t *testing.T, ctx context.Context, dir string) {
	page := fileURL(dir, report.IndexPage)
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(page))
	const first = `.clip[data-place="1"] `
	run(t, ctx, chromedp.Click(chromedp.CSS(first+`.review input[type="checkbox"]`)),
		chromedp.SendKeys(chromedp.CSS(first+".note"), `sky gone, "reshoot" & ask день`))
	run(t, ctx, chromedp.Reload())
	const kept = `(() => { const r = document.querySelector('.clip[data-place="1"]');
		return r.querySelector(".review input").checked + " " + r.querySelector(".note").value + " " +
			document.getElementById("progress").textContent })()`
	if got, want := ask[string](t, ctx, kept), `true sky gone, "reshoot" & ask день 1 of 5 reviewed`; got != want {
		t.Errorf("after a reload: %q, want %q", got, want)
	}
	choose(t, ctx, "reviewed", "yes")
	if got := ask[string](t, ctx, shownNames); got != "pier close 1.mov" {
		t.Errorf("reviewed are %s", got)
	}
	choose(t, ctx, "reviewed", "no")
	if got := ask[string](t, ctx, shownNames); strings.Count(got, "|") != 3 || strings.Contains(got, "pier close") {
		t.Errorf("not reviewed are %s", got)
	}
	saved := t.TempDir()
	allow := browser.SetDownloadBehaviorParams{Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: saved}
	if _, err := chromedp.Call(ctx, browser.SetDownloadBehavior, allow); err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Click(chromedp.ID("save")))
	var out struct {
		Schema, Title string
		Clips         []struct {
			Name, Folder, Page, Note string
			Reviewed                 bool
			Changed                  time.Time `json:"changed_at"`
		}
	}
	text := awaitFile(t, filepath.Join(saved, "review.json"))
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	if out.Schema != "stopledger/review/1" || len(out.Clips) != 1 || out.Clips[0].Name != "pier close 1.mov" ||
		out.Clips[0].Folder != "Day 4/North pier" || !out.Clips[0].Reviewed || out.Clips[0].Changed.IsZero() ||
		out.Clips[0].Note != `sky gone, "reshoot" & ask день` {
		t.Errorf("saved is %+v", out)
	}
	if _, err := os.Stat(filepath.Join(dir, out.Clips[0].Page)); err != nil {
		t.Errorf("saved is a page that is not there: %v", err)
	}
}

// awaitFile reads a file that a browser is writing.
func awaitFile(t *testing.T, name string) []byte {
	t.Helper()
	for range 200 {
		if text, err := os.ReadFile(name); err == nil && len(text) > 0 && text[len(text)-1] == '\n' {
			return text
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s does not come", name)
	return nil
}

// On a phone the first clip to check is in sight without scrolling. On paper there are no controls; notes are there
// whole, in list and contact sheet, and the heads of the columns come again on each page.
func checkPaper(t *testing.T, ctx context.Context, dir string) {
	page := fileURL(dir, report.IndexPage)
	run(t, ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Navigate(page))
	const foot = `document.querySelector(".card img").getBoundingClientRect().bottom`
	if got := ask[float64](t, ctx, foot); got > 844 {
		t.Errorf("the first picture ends at %g of 844 pixels", got)
	}
	run(t, ctx, chromedp.EmulateViewport(794, 1123), chromedp.Navigate(page),
		chromedp.SendKeys(chromedp.CSS(`.clip[data-place="2"] .note`), "night, as it was"))
	media := emulation.SetEmulatedMediaParams{Media: "print"}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		t.Fatal(err)
	}
	for _, view := range []string{"", "sheet"} {
		choose(t, ctx, "view", view)
		for _, hidden := range []string{".tools", "#save", "#kept", ".review .note", ".moment"} {
			if ask[bool](t, ctx, `document.querySelector('`+hidden+`').checkVisibility()`) {
				t.Errorf("%s is printed in view %q", hidden, view)
			}
		}
		const words = `getComputedStyle(document.querySelector('.clip[data-place="2"] .review'), "::after").content`
		if got := ask[string](t, ctx, words); got != `"night, as it was"` {
			t.Errorf("the note is printed as %s in view %q", got, view)
		}
		for _, seen := range []string{".dots path", "#progress", ".clip .status"} {
			if !ask[bool](t, ctx, `document.querySelector('`+seen+`').checkVisibility()`) {
				t.Errorf("%s is not printed in view %q", seen, view)
			}
		}
		if got := ask[int](t, ctx, `document.documentElement.scrollWidth`); got > 794 {
			t.Errorf("on paper the page is %d wide in view %q", got, view)
		}
	}
	choose(t, ctx, "view", "")
	const head = `getComputedStyle(document.querySelector(".clips thead")).display`
	if got := ask[string](t, ctx, head); got != "table-header-group" {
		t.Errorf("the heads of the columns are %s", got)
	}
	show(t, ctx, nil)
	run(t, ctx, chromedp.EmulateViewport(1280, 900))
}

// The timeline has a dot for each clip of known time, hollow where grey is weak, at the height of its figure;
// pointer and keys tell the clip.
func checkTimeline(t *testing.T, ctx context.Context, dir string) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, report.IndexPage)))
	const said = `document.getElementById("moment-0").textContent`
	run(t, ctx, chromedp.Focus(chromedp.CSS(".panels")))
	first := "pier wide 3.mov · 11:42 · +1.31\u00a0stops · 27\u00a0dB · 2.1\u00a0% clipped · pull 1.31\u00a0stops"
	if got := ask[string](t, ctx, said); got != first {
		t.Errorf("the first is %q, want %q", got, first)
	}
	run(t, ctx, chromedp.KeyEvent(kb.End))
	if got := ask[string](t, ctx, said); !strings.HasPrefix(got, "ferry deck 2.mxf · 22:14") {
		t.Errorf("the last is %q", got)
	}
	box := ask[[]float64](t, ctx, `(() => { const p = document.querySelector(".panels");
		p.scrollIntoView({block: "center"}); const r = p.querySelector(".dots").getBoundingClientRect();
		return [r.left, r.top, r.width, r.height] })()`)
	at := ask[string](t, ctx, `document.querySelector('.clip[data-place="1"]').dataset.at`)
	x, err := strconv.ParseFloat(strings.TrimPrefix(at, "0 "), 64)
	if err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.MouseEvent("mouseMoved", box[0]+box[2]*x/1000, box[1]+box[3]/2))
	if got := ask[string](t, ctx, said); !strings.HasPrefix(got, "pier close 1.mov") {
		t.Errorf("under the pointer is %q", got)
	}
	if got := ask[int](t, ctx, `document.querySelectorAll(".panel .weak").length`); got != 1 {
		t.Errorf("%d panels have hollow dots, want that of grey", got)
	}
}
