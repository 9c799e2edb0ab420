package html

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/guide"
)

// The engine that looks for barriers, and what it is; see its README.
const (
	engineFile = "../../testdata/axe/axe.min.js"
	engineSum  = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
)

// engine is axe-core, which checks a page by WCAG 2.2 and what is best practice beyond it.
func engine(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile(engineFile)
	if err != nil {
		t.Fatal(err)
	}
	if sum := sha256.Sum256(text); hex.EncodeToString(sum[:]) != engineSum {
		t.Fatalf("%s is not what its README says", engineFile)
	}
	return string(text)
}

// schemes are how a page is shown.
var schemes = map[string][]*emulation.MediaFeature{
	"light":  {{Name: "prefers-color-scheme", Value: "light"}},
	"dark":   {{Name: "prefers-color-scheme", Value: "dark"}},
	"forced": {{Name: "forced-colors", Value: "active"}, {Name: "prefers-color-scheme", Value: "dark"}},
}

// checkEngine has the engine look at every page, in light, dark and forced colours: it finds no violation. Every
// day three pages are looked at, each in one of them.
func checkEngine(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	pages := []string{report.IndexPage, report.ClipPage(doc.Clips[0].Path), report.ComparePage,
		report.IndexPage + "#view=sheet", report.IndexPage + "#by=folder"}
	for i := range doc.Clips[1:] {
		pages = append(pages, report.ClipPage(doc.Clips[i+1].Path))
	}
	full := os.Getenv("STOPLEDGER_FULL") != ""
	if full {
		pages = append(pages, writeSheets(t, dir, doc)...)
	}
	axe := engine(t)
	for k, scheme := range []string{"forced", "dark", "light"} {
		show(t, ctx, schemes[scheme])
		for i, page := range pages {
			if !full && i != k {
				continue
			}
			run(t, ctx, chromedp.Navigate(fileURL(dir, page)))
			for _, found := range violations(t, ctx, axe) {
				t.Errorf("%s in %s: %s", page, scheme, found)
			}
		}
	}
	show(t, ctx, nil)
}

func show(t *testing.T, ctx context.Context, features []*emulation.MediaFeature) {
	t.Helper()
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
	if err != nil {
		t.Fatal(err)
	}
}

// violations are what the engine finds on the page: the rule, and where.
func violations(t *testing.T, ctx context.Context, axe string) (found []string) {
	t.Helper()
	out, err := chromedp.Run(ctx, chromedp.Evaluate[string](axe+`;
		axe.run(document, {resultTypes: ["violations"]}).then(r => JSON.stringify({ran: r.passes.length, found:
			r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.target + " " + n.html.slice(0,
				160) + " " + (n.any[0]?.message ?? "")).join("; "))}))`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	var result struct {
		Ran   int
		Found []string
	}
	if err := json.Unmarshal([]byte(out), &result); err != nil {
		t.Fatal(err)
	}
	if result.Ran < 10 {
		t.Errorf("only %d rules passed, so it did not look", result.Ran)
	}
	return result.Found
}

// The engine sees a barrier where there is one.
func checkEngineSees(t *testing.T, ctx context.Context, dir string) {
	name := filepath.Join(dir, "barrier.html")
	page := `<!doctype html><html><head><title>x</title></head><body><main>` +
		`<h1 style="color:#ccc;background:#fff">Pale</h1><img src="data:,"><p>a<p>b<p>c</main></body></html>`
	if err := os.WriteFile(name, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Navigate(fileURL(dir, "barrier.html")))
	all := strings.Join(violations(t, ctx, engine(t)), "\n")
	for _, rule := range []string{"color-contrast", "image-alt", "html-has-lang"} {
		if !strings.Contains(all, rule+":") {
			t.Errorf("%s is not seen: %s", rule, all)
		}
	}
}

// writeSheets writes the other kinds of pages into the folder, and returns their names.
func writeSheets(t *testing.T, dir string, doc *report.Document) (names []string) {
	t.Helper()
	thumb, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(doc.Clips[0].Pictures.Thumb)))
	if err != nil {
		t.Fatal(err)
	}
	unknown := curve.Unknown[curve.Stops]()
	to := doc.Clips[0].Path
	matched := &report.Matching{Tool: doc.Tool, Failed: doc.Failed, Matches: []report.Match{
		{Path: doc.Clips[1].Path, To: to, Stops: -1.7, Low: -1.8, High: -1.6, By: "card", Reason: "by the card in both"},
		{Path: doc.Clips[2].Path, To: to, Stops: unknown, Low: unknown, High: unknown, Reason: "nothing in common"}}}
	shown := []Shown{{Path: to, Before: thumb, Width: 240, Height: 135},
		{Path: doc.Clips[1].Path, Before: thumb, After: thumb, Width: 240, Height: 135}}
	planned, profiled := invented(t, doc.Tool)
	write := func(name string, to func(io.Writer) error) {
		t.Helper()
		if err := report.WriteFile(filepath.Join(dir, name), to); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	write("plan.html", func(w io.Writer) error { return WritePlan(w, planned) })
	write("profile.html", func(w io.Writer) error { return WriteProfile(w, profiled) })
	write("guide.html", func(w io.Writer) error { return guide.WriteHTML(w, planned) })
	for name, err := range map[string]error{"days.html": WriteDays(filepath.Join(dir, "days.html"), months()),
		"match.html": WriteMatches(filepath.Join(dir, "match.html"), matched, shown)} {
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	return names
}

// invented are a plan and the profile of a camera of two ISOs.
func invented(t *testing.T, tool report.Tool) (*report.Plan, *report.Profile) {
	t.Helper()
	slog3, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	camera := noise.Camera{Read: 4.6e-4, ReadLow: 4.4e-4, ReadHigh: 4.8e-4, Shot: 5.7e-5, ShotLow: 5.4e-5, ShotHigh: 6e-5}
	q := plan.Request{Reading: curve.Reading{Curve: slog3, Bits: 10}, Scene: plan.Scene{Low: -4, High: 3},
		Profile: "camera.toml"}
	p := &report.Profile{Schema: report.ProfileSchema, Tool: tool,
		Profile: plan.Profile{Curve: slog3.Name, BaseISOs: []int{800}, Notes: []string{"No take at ISO 3200."}}}
	for _, iso := range []int{800, 12800} {
		q.Sensors = append(q.Sensors, plan.Sensor{ISO: iso, Ceiling: 4.5, Origin: clipping.Measured, Noise: camera})
		p.ISOs = append(p.ISOs, plan.ISO{ISO: iso, Camera: camera, Ceiling: 4.5, Origin: clipping.Measured, Usable: 11,
			Takes: 3, Coding: curve.Unknown[curve.Decibels]()})
		p.Exposures = append(p.Exposures, plan.Exposure{Path: fmt.Sprintf("take %d.mov", iso), ISO: iso, Placement: 1.2,
			Light: 1.2, Base: 800})
	}
	return &report.Plan{Schema: report.PlanSchema, Tool: tool, Plan: plan.Make(q)}, p
}

// checkKeyboard goes through pages with the tab key alone: it reaches all that can be worked, in the order of
// the page, each with a mark that is seen, and is caught nowhere.
func checkKeyboard(t *testing.T, ctx context.Context, dir string, doc *report.Document) {
	for _, name := range []string{report.IndexPage, report.ClipPage(doc.Clips[0].Path), report.ComparePage} {
		run(t, ctx, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(fileURL(dir, name)))
		const workable = `[...document.querySelectorAll("a[href], button, input, select, summary, [tabindex='0']")]
			.filter(e => e.tabIndex >= 0 && !e.disabled && e.getClientRects().length &&
				!e.closest("[hidden], dialog:not([open])") && getComputedStyle(e).visibility !== "hidden" &&
				!(e.tagName !== "SUMMARY" && e.closest("details:not([open])")))`
		want := ask[int](t, ctx, `(window.all = `+workable+`).length`)
		seen, unmarked := map[int]bool{}, 0
		for range want + 5 {
			run(t, ctx, chromedp.KeyEvent(kb.Tab))
			at := ask[[]int](t, ctx, `(() => { const e = document.activeElement, s = getComputedStyle(e);
				return [all.indexOf(e), s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2 ? 1 : 0] })()`)
			if at[0] >= 0 {
				seen[at[0]] = true
				unmarked += 1 - at[1]
			}
		}
		if len(seen) != want {
			missed := ask[string](t, ctx, fmt.Sprintf(`all.filter((e, i) => !%s.includes(i)).map(e => e.outerHTML.slice(0, 90))
				.slice(0, 5).join("; ")`, keysOf(seen)))
			t.Errorf("%s: the tab key reaches %d of %d, not %s", name, len(seen), want, missed)
		}
		if unmarked > 0 {
			t.Errorf("%s: %d have no mark when the keyboard is on them", name, unmarked)
		}
	}
}

func keysOf(seen map[int]bool) string {
	keys := []int{}
	for k := range seen {
		keys = append(keys, k)
	}
	text, _ := json.Marshal(keys) // numbers
	return string(text)
}
