package html

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopledger/report"
)

// shownNames are the clips visible in the index, in order.
const shownNames = `[...document.querySelectorAll(".clip")].filter(r => !r.hidden && !r.parentNode.hidden)
	.map(r => r.dataset.name).join("|")`

func checkIndex(t *testing.T, ctx context.Context, dir string) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, "index.html")))
	odd := `<img src=x onerror=alert(1)> & "take" день 5.mov`
	if got := ask[string](t, ctx, `document.querySelector('[data-place="4"] .clipname').textContent`); got != odd {
		t.Errorf("the odd name shows as %q", got)
	}
	if got := ask[int](t, ctx, `[...document.images].filter(i => i.loading !== "lazy").length`); got != 0 {
		t.Errorf("%d pictures are not loaded lazily, or a name became one", got)
	}
	// They load once the first rows are laid out, which may be after the page counts as loaded.
	if _, err := chromedp.Run(ctx,
		chromedp.Poll[bool](`document.querySelector(".clip img").naturalWidth > 0`)); err != nil {
		t.Error("thumbnails do not load: ", err)
	}
	worst := ask[string](t, ctx, shownNames)
	if want := "pier close 1.mov|" + odd + "|ferry deck 2.mxf|pier wide 3.mov|ferry deck 3.mp4"; worst != want {
		t.Errorf("worst first: %s", worst)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`th[data-key="grey"] button`)))
	up := ask[string](t, ctx, shownNames)
	if want := "ferry deck 2.mxf|ferry deck 3.mp4|pier wide 3.mov|pier close 1.mov|" + odd; up != want {
		t.Errorf("sorted by grey: %s", up)
	}
	run(t, ctx, chromedp.Focus(chromedp.CSS(`th[data-key="grey"] button`)), chromedp.KeyEvent(kb.Enter))
	if got, want := ask[string](t, ctx, shownNames),
		"pier close 1.mov|pier wide 3.mov|ferry deck 3.mp4|ferry deck 2.mxf|"+odd; got != want {
		t.Errorf("sorted down by the keyboard: %s", got)
	}
	if got := ask[string](t, ctx,
		`document.querySelector("[aria-sort]").getAttribute("aria-sort")`); got != "descending" {
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
	choose(t, ctx, "level", "alarm")
	if got := ask[string](t, ctx, shownNames); got != "pier close 1.mov|"+odd {
		t.Errorf("that need a person: %s", got)
	}
}

func checkDivider(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, report.ClipPage(doc.Clips[0].Path))))
	const cut = `parseFloat(document.querySelector(".divider").style.getPropertyValue("--cut"))`
	const box = `(() => { const w = document.querySelector(".divider"); w.scrollIntoView({block: "center"});
		const r = w.getBoundingClientRect(); return [r.left, r.top, r.width, r.height] })()`
	r := ask[[]float64](t, ctx, box)
	y := r[1] + r[3]/2
	run(t, ctx, chromedp.DragAndDropXY(r[0]+r[2]/2, y, r[0]+r[2]/4, y, 4))
	if got := ask[float64](t, ctx, cut); got < 23 || got > 27 {
		t.Errorf("dragged to a quarter the divider is at %g %%", got)
	}
	if got := ask[string](t, ctx,
		`getComputedStyle(document.querySelector(".beyond")).clipPath`); !strings.Contains(got, "%") {
		t.Errorf("the picture after the pull is cut by %q", got)
	}
	before := ask[float64](t, ctx, cut)
	run(t, ctx, chromedp.Focus(chromedp.CSS(".viewer .cutter")), chromedp.KeyEvent(kb.ArrowRight),
		chromedp.KeyEvent(kb.ArrowRight))
	if got := ask[float64](t, ctx, cut); got != before+1 {
		t.Errorf("two steps right move the divider from %g to %g", before, got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-shows="outline"]`)))
	if !ask[bool](t, ctx, `document.querySelector(".outline").hasAttribute("hidden")`) {
		t.Error("the outline of the card is still shown")
	}
	if ask[bool](t, ctx, `[...document.images].some(i => i.hasAttribute("src") && i.complete && i.naturalWidth === 0)`) {
		t.Error("a picture does not load")
	}
}

func checkMotion(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	run(t, ctx, chromedp.Navigate(fileURL(dir, report.ClipPage(doc.Clips[0].Path))))
	const state = `getComputedStyle(document.querySelector(".window img")).animationPlayState`
	if got := ask[string](t, ctx, state); got != "running" {
		t.Errorf("the enlarged piece is %s", got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(".motion")))
	if got := ask[string](t, ctx, state); got != "paused" {
		t.Errorf("held still it is %s", got)
	}
	const calm = `(() => { const s = document.querySelector(".shadows"); s.classList.remove("moving", "still");
		return ` + state + ` })()`
	still := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion",
		Value: "reduce"}}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, still); err != nil {
		t.Fatal(err)
	}
	if got := ask[string](t, ctx, calm); got != "paused" {
		t.Errorf("where motion is not wanted it is %s", got)
	}
	run(t, ctx, chromedp.Reload())
	if got := ask[string](t, ctx, `document.querySelector(".motion").textContent`); got != "Play" {
		t.Errorf("where motion is not wanted the button says %q", got)
	}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{}); err != nil {
		t.Fatal(err)
	}
	const enlarged = 160 * 4 // pixels of the piece, at 400 %
	const size = `(() => { const w = document.querySelector(".window"), i = w.querySelector("img");
		return [i.getBoundingClientRect().height, i.getBoundingClientRect().width / i.naturalWidth,
			i.getBoundingClientRect().height / i.naturalHeight, w.clientWidth] })()`
	if got := ask[[]float64](t, ctx, size); got[0] != enlarged || got[1] != 4 || got[2] != 4 || got[3] > enlarged {
		t.Errorf("height of the piece, scale across and down, width seen: %v", got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-step="1"]`)), chromedp.Click(chromedp.CSS(`[data-step="1"]`)))
	if got := ask[string](t, ctx, `document.querySelector(".frame-now").textContent`); got != "frame 3 of 6" {
		t.Errorf("after two steps it says %q", got)
	}
	// The middle of the third frame is in the middle of what is seen.
	const middle = `(() => { const w = document.querySelector(".window").getBoundingClientRect(),
		i = document.querySelector(".window img").getBoundingClientRect();
		return [w.left + w.width / 2 - i.left, w.top + w.height / 2 - i.top] })()`
	if got := ask[[]float64](t, ctx, middle); math.Abs(got[0]-2.5*enlarged) > 1 || math.Abs(got[1]-0.5*enlarged) > 1 {
		t.Errorf("in the middle is %v of the film, want %v, %v", got, 2.5*enlarged, 0.5*enlarged)
	}
}

func checkCompare(t *testing.T, ctx context.Context, dir string) {
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, report.ComparePage)))
	const under = `[...document.querySelectorAll(".layer")].filter(l => getComputedStyle(l).display !== "none")
		.map(l => l.dataset.take).join()`
	if got := ask[string](t, ctx, under); got != "A,B" {
		t.Errorf("under the divider lie %s", got)
	}
	ask[string](t, ctx,
		`(() => { const s = document.getElementById("right"); s.value = "C"; s.dispatchEvent(new Event("change"));
			return s.value })()`)
	if got := ask[string](t, ctx, under); got != "A,C" {
		t.Errorf("after C was chosen lie %s", got)
	}
	if got := ask[int](t, ctx, `document.querySelectorAll(".motionwell .window").length`); got != 2 {
		t.Errorf("%d pieces move under the small divider", got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(".viewer .flip")))
	first := ask[string](t, ctx, `document.querySelector(".viewer .cutter").value`)
	run(t, ctx, chromedp.Click(chromedp.CSS(".viewer .flip")))
	if got := first + ask[string](t, ctx, `document.querySelector(".viewer .cutter").value`); got != "1000" {
		t.Errorf("flipped twice, the left take has %s", got)
	}
	checkSamePlace(t, ctx)
}

// checkSamePlace clicks a place of the frame: every take shows it at 400 %, in the middle of its window.
func checkSamePlace(t *testing.T, ctx context.Context) {
	t.Helper()
	ask[bool](t, ctx, `(document.querySelector(".stage").scrollIntoView({block: "center"}), true)`)
	at := spot{0.3, 0.4}
	x, y := onStage(t, ctx, ".stage", at)
	run(t, ctx, chromedp.MouseClickXY(x, y))
	const loaded = `[...document.querySelectorAll(".crop img")].every(i => i.naturalWidth > 0)`
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](loaded)); err != nil {
		t.Fatal("the takes at full resolution are not shown: ", err)
	}
	got := ask[[][]float64](t, ctx, cropPlaces)
	if len(got) != 4 { // the fifth take has no pictures
		t.Errorf("%d takes show the place", len(got))
	}
	for i, v := range got {
		if math.Abs(v[0]-at.u) > 0.001 || math.Abs(v[1]-at.v) > 0.001 || v[2] != 4 {
			t.Errorf("take %d shows %.4f, %.4f at %g times, want %+v at 4", i, v[0], v[1], v[2], at)
		}
	}
}

// Nothing sticks out at the width of a phone and of a small laptop, the picture is on a phone's first screen, and
// what is touched there is at least 44 pixels high (Web Content Accessibility Guidelines 2.2, 2.5.5), links within
// a sentence left out.
func checkWidths(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	names := []string{"index.html", report.ComparePage}
	for _, c := range doc.Clips {
		names = append(names, report.ClipPage(c.Path))
	}
	for _, wide := range []int64{1100, 390} {
		for _, name := range names {
			emulate := []chromedp.EmulateViewportOption{}
			if wide == 390 {
				emulate = append(emulate, chromedp.EmulateMobile)
			}
			run(t, ctx, chromedp.EmulateViewport(wide, 844, emulate...), chromedp.Navigate(fileURL(dir, name)))
			if got := ask[int64](t, ctx, `document.documentElement.scrollWidth`); got > wide {
				out := ask[string](t, ctx,
					`[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 &&
					!e.closest(".scroll, .window, svg, .well")).map(e => e.tagName + "." + e.className).slice(0, 5).join(" ")`)
				t.Errorf("%s is %d wide: %s", name, got, out)
			}
			if wide == 390 {
				checkTouch(t, ctx, name)
			}
		}
	}
	for _, c := range doc.Clips[:4] {
		run(t, ctx, chromedp.Navigate(fileURL(dir, report.ClipPage(c.Path))))
		const foot = `document.querySelector(".stage").getBoundingClientRect().bottom`
		if got := ask[float64](t, ctx, foot); got > 844 {
			t.Errorf("%s: the picture ends at %g of 844 pixels", c.Path, got)
		}
	}
	run(t, ctx, chromedp.EmulateViewport(1280, 900))
}

func checkTouch(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	const low = `[...document.querySelectorAll("button, select, summary, .cutter, .trail a, .switches label, " +
		".card a, .clip a, .review label, .review .note, label.tick, #find")]
		.filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5)
		.map(e => e.tagName + "." + e.className + " " + e.getBoundingClientRect().height).slice(0, 5).join("; ")`
	if got := ask[string](t, ctx, low); got != "" {
		t.Errorf("%s: low to be touched: %s", name, got)
	}
}

// Words that stand on the pictures and beside them never lie over each other, at three widths.
func checkApart(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	const over = `(() => {
		const boxes = (of) => [...document.querySelectorAll(of)].filter(e => e.checkVisibility() && e.textContent.trim())
			.map(e => [e.textContent, e.getBoundingClientRect()]);
		const bad = [];
		for (const group of [".wave .scale span", ".well .tag", ".ruler text", ".legend text", ".tools button"]) {
			const all = boxes(group);
			for (let i = 0; i < all.length; i++) for (let k = 0; k < i; k++) {
				const [a, b] = [all[i][1], all[k][1]];
				if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1.5 &&
					Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4) bad.push(all[i][0] + " / " + all[k][0]);
			}
		}
		return bad.join("; ") })()`
	for _, wide := range []int64{1280, 1100, 390} {
		for _, c := range doc.Clips {
			run(t, ctx, chromedp.EmulateViewport(wide, 900), chromedp.Navigate(fileURL(dir, report.ClipPage(c.Path))))
			const unnamed = `[...document.querySelectorAll(".ruler .caption")].filter(e => !e.checkVisibility()).length`
			if got := ask[int](t, ctx, unnamed); got != 0 {
				t.Errorf("%s at %d pixels: %d wedges are not named", c.Path, wide, got)
			}
			if got := ask[string](t, ctx, over); got != "" {
				t.Errorf("%s at %d pixels: %s", c.Path, wide, got)
			}
		}
	}
	run(t, ctx, chromedp.EmulateViewport(1280, 900))
}

func checkPrint(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	for _, name := range []string{"index.html", report.ClipPage(doc.Clips[1].Path), report.ComparePage} {
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
		if strings.HasPrefix(name, report.ClipFolder) {
			checkPrinted(t, pdf, report.ClipName(doc.Clips[1].Path))
		}
	}
}

// checkPrinted reads a clip's page from paper, by Poppler's pdftotext: each heading is on the page of what it
// heads, and the clip's name in one line.
func checkPrinted(t *testing.T, pdf []byte, name string) {
	t.Helper()
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("pdftotext is not installed")
		return
	}
	cmd := exec.Command(reader, "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(strings.ReplaceAll(string(out), "\u00a0", " "), "\f")
	for heading, heads := range map[string]string{"Picture": "as recorded", "Shadows at 400 %": "as recorded",
		"Measured": "luma", "Histogram in stops": "recorded stops from nominal", "Findings": "alarm", name: "Picture"} {
		together := slices.ContainsFunc(pages, func(page string) bool {
			_, after, found := strings.Cut(page, heading)
			return found && strings.Contains(after, heads)
		})
		if !together {
			t.Errorf("printed, %q is not on one page with %q", heading, heads)
		}
	}
}

// checkAccess looks for what somebody who does not see the page, or uses no mouse, would miss.
func checkAccess(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	for _, name := range []string{"index.html", report.ClipPage(doc.Clips[0].Path), report.ClipPage(doc.Clips[4].Path),
		report.ComparePage} {
		run(t, ctx, chromedp.Navigate(fileURL(dir, name)))
		for what, expression := range map[string]string{
			"pictures without a text": `[...document.images].filter(i => !i.hasAttribute("alt")).length`,
			"drawings without a name": `[...document.querySelectorAll('svg[role="img"]')]
				.filter(s => !s.getAttribute("aria-label") && !s.getAttribute("aria-labelledby")).length`,
			"names that lead nowhere": `[...document.querySelectorAll("[aria-labelledby], [aria-describedby]")]
				.filter(e => ((e.getAttribute("aria-labelledby") || "") + " " + (e.getAttribute("aria-describedby") ||
				"")).trim().split(/\s+/).some(id => !document.getElementById(id))).length`,
			"controls without a label": `[...document.querySelectorAll("input, select")].filter(e => !e.labels?.length &&
				!e.getAttribute("aria-label")).length`,
			"buttons without words":    `[...document.querySelectorAll("button")].filter(b => !b.textContent.trim()).length`,
			"heads of tables unscoped": `[...document.querySelectorAll("th")].filter(h => !h.scope).length`,
			"the same id twice": `(() => { const ids = [...document.querySelectorAll("[id]")].map(e => e.id);
				return ids.length - new Set(ids).size })()`,
			"not one main and one title": `Math.abs(document.querySelectorAll("main").length - 1) + Math.abs(document
				.querySelectorAll("h1").length - 1)`,
			"a page without its language": `document.documentElement.lang === "en" ? 0 : 1`,
		} {
			if n := ask[int](t, ctx, expression); n != 0 {
				t.Errorf("%s: %s: %d", name, what, n)
			}
		}
	}
}
