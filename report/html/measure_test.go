package html

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// known is how far what a page measures may lie from a patch whose light is known, in stops.
const known = 0.02

// The card of the invented scene, in shares of the frame as coded; its light is grey at the exposure.
var card = struct{ x0, y0, x1, y1 float64 }{0.63, 0.55, 0.73, 0.67}

// A spot is a place of the frame as seen, 0..1 across and down.
type spot struct{ u, v float64 }

// onStage returns where a spot of the frame lies in the window.
func onStage(t *testing.T, ctx context.Context, selector string, at spot) (x, y float64) {
	t.Helper()
	r := ask[[]float64](t, ctx, fmt.Sprintf(`(() => { const s = document.querySelector(%q);
		const r = s.querySelector(".sheet").getBoundingClientRect(); return [r.left, r.top, r.width, r.height] })()`,
		selector))
	return r[0] + at.u*r[2], r[1] + at.v*r[3]
}

func dragOn(t *testing.T, ctx context.Context, selector string, from, to spot) {
	t.Helper()
	x0, y0 := onStage(t, ctx, selector, from)
	x1, y1 := onStage(t, ctx, selector, to)
	run(t, ctx, chromedp.DragAndDropXY(x0, y0, x1, y1, 3))
}

// openClip opens a clip's page, with what can be measured unpacked.
func openClip(t *testing.T, ctx context.Context, dir string, c *report.Clip) {
	t.Helper()
	run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, report.ClipPage(c.Path))))
	if _, err := chromedp.Run(ctx,
		chromedp.Poll[bool](`document.documentElement.classList.contains("measures")`)); err != nil {
		t.Fatal("nothing can be measured: ", err)
	}
	ask[bool](t, ctx, `(document.querySelector(".stage").scrollIntoView({block: "center"}), true)`)
}

// held are the values of the panel by their names.
func held(t *testing.T, ctx context.Context) map[string]string {
	t.Helper()
	v := ask[map[string]string](t, ctx, `Object.fromEntries([...document.querySelectorAll("[data-is]")]
		.map(e => [e.dataset.is, e.textContent]).concat([["command", document.getElementById("command").textContent]]))`)
	for name, words := range v {
		v[name] = strings.NewReplacer("\u00a0", " ", "\u2212", "-", "\u2009", " ").Replace(words)
	}
	return v
}

// heldNumbers are stops, code and region of the panel.
func heldNumbers(t *testing.T, values map[string]string) (stops, code float64, x, y, w, h int) {
	t.Helper()
	_, errStops := fmt.Sscanf(values["stops"], "%g stops", &stops)
	_, errCode := fmt.Sscanf(values["code"], "%g", &code)
	_, rest, _ := strings.Cut(values["command"], "--region ")
	_, errRegion := fmt.Sscanf(rest, "%d,%d,%d,%d", &x, &y, &w, &h)
	if errStops != nil || errCode != nil || errRegion != nil {
		t.Fatalf("the panel says %q", values)
	}
	return stops, code, x, y, w, h
}

// The card was drawn as grey at an exposure of +1.31 stops: the page measures that, by a drag, by a click, by
// the keyboard and on the map, and its --region lies in the card.
func checkMeasure(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	c := &doc.Clips[0]
	openClip(t, ctx, dir, c)
	inCard := func(how string) {
		t.Helper()
		values := held(t, ctx)
		stops, code, x, y, w, h := heldNumbers(t, values)
		if math.Abs(stops-1.31) > known {
			t.Errorf("%s: the card is at %+.2f stops, want +1.31", how, stops)
		}
		if want := float64(reporttest.Code(curve.MidGrey * math.Exp2(1.31))); math.Abs(code-want) > 1.5 {
			t.Errorf("%s: the card has code %g, want %g", how, code, want)
		}
		wide, high := float64(c.Width), float64(c.Height)
		if float64(x) < card.x0*wide || float64(x+w) > card.x1*wide || float64(y) < card.y0*high ||
			float64(y+h) > card.y1*high || w < 1 || h < 1 {
			t.Errorf("%s: the area %d,%d,%d,%d is not in the card", how, x, y, w, h)
		}
	}
	dragOn(t, ctx, ".stage", spot{0.65, 0.58}, spot{0.71, 0.64})
	inCard("a drag")
	values := held(t, ctx)
	var r, g, b, spread float64
	_, err := fmt.Sscanf(values["rgb"], "%g · %g · %g", &r, &g, &b)
	if err != nil || math.Abs(r-g) > 1 || math.Abs(b-g) > 1 {
		t.Errorf("R, G and B of a neutral card are %q: %v", values["rgb"], err)
	}
	// Noise of the scene: sqrt(read^2 + shot L), over the mean of a still's pixel of 4 x 4.
	light := curve.MidGrey * math.Exp2(1.31)
	want := math.Log2(1 + math.Sqrt(9e-4*9e-4+2.2e-5*light)/4/light)
	if _, err := fmt.Sscanf(values["spread"], "±%g stops", &spread); err != nil || math.Abs(spread-want) > 0.01 {
		t.Errorf("the spread is %q, want %.3f: %v", values["spread"], want, err)
	}
	command := values["command"]
	if !strings.HasPrefix(command, "stopledger audit ") || !strings.HasSuffix(command, shellWord(c.Path)) {
		t.Errorf("the command is %q", command)
	}
	x, y := onStage(t, ctx, ".stage", spot{0.66, 0.6})
	run(t, ctx, chromedp.MouseClickXY(x, y))
	inCard("a click")
	run(t, ctx, chromedp.Click(chromedp.CSS(".candidate")))
	r0 := c.Placement.Candidates[0].Region
	if _, _, x, y, w, h := heldNumbers(t, held(t, ctx)); x != r0.X || y != r0.Y || w != r0.W || h != r0.H {
		t.Errorf("the card that was found is measured at %d,%d,%d,%d, want %+v", x, y, w, h, *r0)
	}
	checkCrops(t, ctx, c)
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-copies="command"]`)))
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](
		`["Copied", "Selected"].includes(document.querySelector('[data-copies="command"]').textContent)`)); err != nil {
		t.Error("the command is not copied: ", err)
	}
	ask[bool](t, ctx, `(document.querySelector(".map").scrollIntoView({block: "center"}), true)`)
	dragOn(t, ctx, ".map .well", spot{0.65, 0.58}, spot{0.71, 0.64})
	inCard("a drag on the map")
	run(t, ctx, chromedp.Focus(chromedp.CSS(".stage")), chromedp.KeyEvent(kb.ArrowLeft))
	before := held(t, ctx)["area"]
	run(t, ctx, chromedp.KeyEvent(kb.ArrowRight))
	if got := held(t, ctx)["area"]; got == before {
		t.Error("the arrow keys do not move the point")
	}
	ask[bool](t, ctx, `(document.querySelector(".map").scrollIntoView({block: "center"}), true)`)
	x, y = onStage(t, ctx, ".map .well", spot{0.19, 0.59})
	run(t, ctx, chromedp.MouseEvent("mouseMoved", x, y))
	const reading = `document.getElementById("reading").textContent`
	if got := ask[string](t, ctx, reading); !strings.Contains(got, "clipped in R") {
		t.Errorf("the lit window reads %q", got)
	}
}

// A clip that was shot upright is shown upright, and its --region is of the frame as coded.
func checkTurned(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	dir = filepath.Join(dir, "turned")
	frame := reporttest.Scene{Exposure: 1.31, Sky: 2.6, Ceiling: 5.6, Read: 9e-4, Shot: 2.2e-5, Seed: 1}.
		Still(0, 0, 480, 270, doc.Clips[0].Width, doc.Clips[0].Height, float64(doc.Clips[0].Width)/480, 0)
	stills := &still.Stills{Frame: &frame, Grid: reporttest.Grid(&frame, 2)}
	for _, deg := range []int{90, 180, 270} {
		turned := *doc
		c := doc.Clips[0]
		c.Path, c.Rotation = fmt.Sprintf("turned %d.mov", deg), deg
		draw(t, dir, &c, stills)
		turned.Clips = []report.Clip{c}
		if err := Write(dir, &turned); err != nil {
			t.Fatal(err)
		}
		openClip(t, ctx, dir, &c)
		seen := func(x, y float64) spot {
			return map[int]spot{90: {1 - y, x}, 180: {1 - x, 1 - y}, 270: {y, 1 - x}}[deg]
		}
		dragOn(t, ctx, ".stage", seen(0.65, 0.58), seen(0.71, 0.64))
		stops, _, x, y, w, h := heldNumbers(t, held(t, ctx))
		for name, pair := range map[string][2]float64{"stops": {stops, 1.31}, "x": {float64(x) / float64(c.Width), 0.65},
			"y": {float64(y) / float64(c.Height), 0.58}, "right": {float64(x+w) / float64(c.Width), 0.71},
			"foot": {float64(y+h) / float64(c.Height), 0.64}} {
			if math.Abs(pair[0]-pair[1]) > known {
				t.Errorf("turned by %d degrees: %s is %.3f, want %.3f", deg, name, pair[0], pair[1])
			}
		}
	}
}

// Both halves are enlarged alike, at one pixel of the frame to so many of the screen, about the place that
// was measured; an area measured then is the one seen.
func checkZoom(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	openClip(t, ctx, dir, &doc.Clips[0])
	run(t, ctx, chromedp.Click(chromedp.CSS(".candidate")))
	ask[bool](t, ctx, `(document.querySelector(".stage").scrollIntoView({block: "center"}), true)`)
	frame := ask[float64](t, ctx, `Number(document.querySelector(".stage").dataset.frameWidth)`)
	const rects = `[...document.querySelectorAll(".stage .sheet:not([hidden])")].map(e => e.getBoundingClientRect())
		.flatMap(r => [r.left, r.top, r.width])`
	for _, percent := range []float64{100, 200, 400, 800} {
		run(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf(`[data-zoom="%g"]`, percent))))
		got := ask[[]float64](t, ctx, rects)
		for i, v := range got {
			if math.Abs(v-got[i%3]) > 0.5 || i%3 == 2 && math.Abs(v-frame*percent/100) > 1 {
				t.Errorf("at %g %% the sheets lie at %v; the frame has %g pixels", percent, got, frame)
				break
			}
		}
		if words := ask[string](t, ctx, `document.querySelector(".zoom-now").textContent`); words !=
			fmt.Sprintf("%g\u00a0%%", percent) {
			t.Errorf("at %g %% it says %q", percent, words)
		}
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-zoom="400"]`)))
	// The card fills the stage now, but for the divider's knob.
	x, y := onStage(t, ctx, ".stage", spot{0.66, 0.6})
	run(t, ctx, chromedp.DragAndDropXY(x, y, x+40, y+24, 3))
	if stops, _, _, _, w, _ := heldNumbers(t, held(t, ctx)); math.Abs(stops-1.31) > known || w > 48 {
		t.Errorf("at 400 %% 40 pixels of the card read %+.2f stops over %d pixels", stops, w)
	}
	if _, err := chromedp.Run(ctx,
		chromedp.Poll[bool](`!document.querySelector(".stage img[data-full]:not(.full-size)")`)); err != nil {
		t.Error("the frames at full resolution are not shown: ", err)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-drag="moves"]`)))
	before, area := ask[[]float64](t, ctx, rects), held(t, ctx)["area"]
	run(t, ctx, chromedp.DragAndDropXY(x, y, x-60, y-30, 3))
	after := ask[[]float64](t, ctx, rects)
	for i := range after {
		want := before[i] - []float64{60, 30, 0}[i%3]
		if math.Abs(after[i]-want) > 1 {
			t.Fatalf("moved from %v to %v", before, after)
		}
	}
	if got := held(t, ctx)["area"]; got != area {
		t.Errorf("a drag that moves measures %s", got)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-zoom="fit"]`)), chromedp.Click(chromedp.CSS(".fill")))
	if wide := ask[float64](t, ctx, `document.querySelector(".viewer").getBoundingClientRect().width`); wide < 1270 {
		t.Errorf("in full screen the picture has %g of 1280 pixels", wide)
	}
	const reachable = `[...document.querySelectorAll(".zooms button")].every(b => { const r = b.getBoundingClientRect();
		return document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2) === b })`
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](reachable)); err != nil {
		t.Error("in full screen the buttons cannot be reached: ", err)
	}
	run(t, ctx, chromedp.KeyEvent(kb.Escape))
	if _, err := chromedp.Run(ctx,
		chromedp.Poll[bool](`!document.querySelector(".viewer").classList.contains("full")`)); err != nil {
		t.Error("Escape does not leave full screen: ", err)
	}
}

// Keys do what the list says.
func checkKeys(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	openClip(t, ctx, dir, &doc.Clips[0])
	press := func(key string) { t.Helper(); run(t, ctx, chromedp.KeyEvent(key)) }
	const cut = `document.querySelector(".viewer .cutter").value`
	press("f")
	first := ask[string](t, ctx, cut)
	press("f")
	if second := ask[string](t, ctx, cut); first != "100" || second != "0" {
		t.Errorf("flipped, the left share is %s and then %s", first, second)
	}
	press("c")
	const shown = `[...document.querySelectorAll(".viewer .clipped")].filter(e => !e.hasAttribute("hidden")).length`
	if got := ask[int](t, ctx, shown); got != 2 {
		t.Errorf("after c %d of overlay and key are shown", got)
	}
	const state = `getComputedStyle(document.querySelector(".window img")).animationPlayState`
	press(" ")
	if got := ask[string](t, ctx, state); got != "paused" {
		t.Errorf("after the space bar the pieces are %s", got)
	}
	const group = `document.querySelector(".groups ol").dataset.of + ": " +
		[...document.querySelectorAll(".groups li")].filter(e => e.checkVisibility()).map(e => e.textContent).join("|")`
	press("]")
	press("]")
	lines := groupLines(&doc.Clips[0])
	if got, want := ask[string](t, ctx, group), fmt.Sprintf("group 3 of %d: %s", len(lines), lines[2]); got != want {
		t.Errorf("two groups on it says %q, want %q", got, want)
	}
	press("+")
	if got := ask[string](t, ctx, `document.querySelector(".zoom-now").textContent`); !strings.Contains(got, "%") {
		t.Errorf("after + the zoom is %q", got)
	}
	press("?")
	if !ask[bool](t, ctx, `document.getElementById("keys").open`) {
		t.Error("? does not list the keys")
	}
	for _, key := range clipKeys {
		if !ask[bool](t, ctx, fmt.Sprintf(`document.getElementById("keys").textContent.includes(%q)`, key[1])) {
			t.Errorf("the list lacks %s", key[0])
		}
	}
	press(kb.Escape)
	for key, want := range map[string]string{"ArrowRight": "next", "ArrowLeft": "prev"} {
		asked := ask[string](t, ctx, fmt.Sprintf(`(() => {
			const link = document.querySelector('a[rel=%[1]s]') || document.body.appendChild(document.createElement("a"));
			link.rel = %[1]q;
			let asked = "nothing";
			link.addEventListener("click", (e) => { e.preventDefault(); asked = link.rel; });
			document.body.dispatchEvent(new KeyboardEvent("keydown", {key: %[2]q, bubbles: true}));
			return asked })()`, want, key))
		if asked != want {
			t.Errorf("%s follows %s, want %s", key, asked, want)
		}
	}
}

// checkCrops: the card that was measured stands in the middle of both pieces, as recorded and after the
// correction, at 400 %.
func checkCrops(t *testing.T, ctx context.Context, c *report.Clip) {
	t.Helper()
	const loaded = `[...document.querySelectorAll(".crop img")].every(i => i.naturalWidth > 0)`
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](loaded)); err != nil {
		t.Fatal("the pieces are not shown: ", err)
	}
	r := c.Placement.Candidates[0].Region
	u, v := (float64(r.X)+float64(r.W)/2)/float64(c.Width), (float64(r.Y)+float64(r.H)/2)/float64(c.Height)
	got := ask[[][]float64](t, ctx, cropPlaces)
	if len(got) != 2 {
		t.Errorf("%d pieces are shown", len(got))
	}
	for i, at := range got {
		if math.Abs(at[0]-u) > 0.001 || math.Abs(at[1]-v) > 0.001 || at[2] != 4 {
			t.Errorf("piece %d shows %v, want %.4f, %.4f at 4", i, at, u, v)
		}
	}
}

// cropPlaces are what lies in the middle of each piece, and how many times it is enlarged.
const cropPlaces = `[...document.querySelectorAll(".crop")].map(f => {
	const w = f.querySelector(".window").getBoundingClientRect(), i = f.querySelector("img").getBoundingClientRect();
	return [(w.left + w.width / 2 - i.left) / i.width, (w.top + w.height / 2 - i.top) / i.height,
		i.width / Number(f.dataset.width)] })`

// A page by itself says which pictures it lacks, and measures all the same.
func checkAlone(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	c := &doc.Clips[0]
	alone, page := t.TempDir(), report.ClipPage(c.Path)
	if err := os.MkdirAll(filepath.Join(alone, report.ClipFolder), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(alone, page), []byte(written(t, dir, page)), 0o644); err != nil {
		t.Fatal(err)
	}
	openClip(t, ctx, alone, c)
	dragOn(t, ctx, ".stage", spot{0.65, 0.58}, spot{0.71, 0.64})
	if stops, _, _, _, _, _ := heldNumbers(t, held(t, ctx)); math.Abs(stops-1.31) > known {
		t.Errorf("alone, the page measures %+.2f stops", stops)
	}
	run(t, ctx, chromedp.Click(chromedp.CSS(`[data-zoom="400"]`)))
	const says = `document.querySelectorAll(".lacking:not([hidden])").length === 2 &&
		![...document.querySelectorAll(".strip")].some(s => s.checkVisibility())`
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](says)); err != nil {
		t.Error("it does not say what it lacks: ", err)
	}
}
