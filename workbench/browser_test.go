package workbench

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/job"
)

// browser is a real Chromium, and what its console has said.
type browser struct {
	t    testing.TB
	ctx  context.Context
	desk *desk

	mu   sync.Mutex
	said []string
}

// browse starts Chromium and lets it into the workbench; the test is skipped where there is none.
func browse(t testing.TB, d *desk) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed (Debian package chromium)")
	}
	var opts []chromedp.ExecAllocatorOption
	opts = append(opts, chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()))
	for _, f := range []string{"headless", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars", "disable-dev-shm-usage"} {
		opts = append(opts, chromedp.Flag(f, true))
	}
	all, stopAll := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, stop := chromedp.NewContext(all)
	ctx, late := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(func() { late(); stop(); stopAll() })
	b := &browser{t: t, ctx: ctx, desk: d}
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			b.mu.Lock()
			b.said = append(b.said, m.String())
			b.mu.Unlock()
		}
	}()
	b.must(chromedp.Navigate(d.server.URL(d.http.Listener.Addr())))
	return b
}

func (b *browser) must(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// ask evaluates an expression in the page.
func ask[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%.80s: %v", expression, err)
	}
	return v
}

// heard gives what the console has said since it was asked last.
func (b *browser) heard() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	list := b.said
	b.said = nil
	return list
}

// dress sets window and colours.
func (b *browser) dress(width, height int64, scheme string) {
	b.t.Helper()
	b.must(chromedp.EmulateViewport(width, height), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	}))
}

// picture keeps what the window shows, for people to look at.
func (b *browser) picture(name string) {
	b.t.Helper()
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	dir := filepath.Join("..", "out", "screens")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// goTo opens a page and waits until type and pictures are there.
func (b *browser) goTo(address string) {
	b.t.Helper()
	b.must(chromedp.Navigate(b.desk.http.URL + address))
	ask[bool](b, `document.fonts.ready.then(() => true)`)
}

// screens are the pages that are looked at, with the name of their picture.
var screens = []struct{ name, address string }{
	{"plan", "/"}, {"plan-upper", "/plan/upper"}, {"plan-close", "/plan/ground?show=20+20+70+50&at=hall.ceiling"}, {"points", "/points"}, {"modules", "/modules"},
	{"rules", "/rules"}, {"keys", "/keys"}, {"findings", "/findings"}, {"tests", "/tests"}, {"wishes", "/wishes"}, {"papers", "/papers"}, {"log", "/log"}, {"explain", "/explain/bus/too-long"},
	{"stage-survey", "/stage/survey"}, {"stage-design", "/stage/design"}, {"passport-lamp", "/passport/hall.ceiling"}, {"passport-keys", "/passport/hall.keys"}, {"passport-room", "/passport/hall"},
	{"passport-module", "/passport/MODULE"}, {"passport-circuit", "/passport/CIRCUIT?kind=circuit"}, {"missing", "/passport/hall.cieling"},
}

// axe is the source of the accessibility rules; the test is skipped where they are not installed.
func axe(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("../tools/access/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Skip("axe-core is not installed (npm ci in tools/access)")
	}
	return string(b)
}

// The rules of axe-core for WCAG 2.0, 2.1 and 2.2, levels A and AA, on every page in light and in dark, and what the
// browser itself has to say: no refused file, no error, nothing wider than the window.
func TestPagesInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	rules := axe(t)
	j := example(t)
	if _, err := j.Rehearse(context.Background(), job.RehearseOptions{Seed: 1, Only: []string{"hall-light", "worktop"}}); err != nil {
		t.Fatal(err)
	}
	b := browse(t, open(t, j))
	names := strings.NewReplacer("MODULE", firstModule(t, j), "CIRCUIT", firstCircuit(t, j))
	for _, scheme := range []string{"light", "dark"} {
		b.dress(1366, 768, scheme)
		for _, s := range screens {
			b.heard()
			b.goTo(names.Replace(s.address))
			b.picture(s.name + "-1366-" + scheme)
			b.judge(s.name+" in "+scheme, rules, scheme)
		}
	}
	b.dress(1920, 1080, "light")
	for _, s := range screens {
		b.goTo(names.Replace(s.address))
		b.picture(s.name + "-1920-light")
	}
}

// judge holds the open page against the rules: all of them in light; in dark, where the page is the same but for its
// colours, those about colours.
func (b *browser) judge(name, rules, scheme string) {
	b.t.Helper()
	broken := b.broken(rules, map[string]string{"light": everyRule, "dark": colourRules}[scheme])
	for _, v := range broken {
		b.t.Errorf("%s: %s", name, v)
	}
	if w := ask[[]int](b, `[document.documentElement.scrollWidth, innerWidth]`); w[0] > w[1] {
		b.t.Errorf("%s: it is %d px wide in a window of %d px", name, w[0], w[1])
	}
	for _, m := range b.heard() {
		if !(name[:7] == "missing" && strings.Contains(m, "404")) {
			b.t.Errorf("%s: the browser says %s", name, m)
		}
	}
}

// everyRule are the rules of axe-core for WCAG 2.0, 2.1 and 2.2 at the levels A and AA; colourRules those that see colours.
const (
	everyRule   = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]`
	colourRules = `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`
)

// broken runs the rules in the open page and says which are broken, and where.
func (b *browser) broken(rules, which string) []string {
	b.t.Helper()
	ask[bool](b, rules+"; true")
	return ask[[]string](b, `axe.run(document, {runOnly: `+which+`}).then((r) => r.violations.map((v) =>
		v.id + ": " + v.help + ": " + v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " " + n.any.concat(n.all, n.none).map((c) => c.message).join("; ")).join(" | ")))`)
}

// The rules find what is wrong when something is: a field without a label, a picture without a name, grey on grey.
func TestRulesFindFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	rules := axe(t)
	b := browse(t, open(t, example(t)))
	b.goTo("/points")
	ask[bool](b, `(() => { const f = document.querySelector("#words"); document.querySelector("label[for=words]").remove(); f.removeAttribute("placeholder");
		document.querySelector("main h1").style.color = "#bbbbbb"; document.documentElement.removeAttribute("lang"); return true; })()`)
	found := strings.Join(b.broken(rules, everyRule), " ")
	for _, want := range []string{"label: ", "color-contrast: ", "html-has-lang: "} {
		if !strings.Contains(found, want) {
			t.Errorf("the rules do not find %s", want)
		}
	}
}

func firstModule(t testing.TB, j *job.Job) string {
	h, _, err := j.Head(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range h.Modules {
		if len(m.Landings) > 2 {
			return url.PathEscape(string(m.ID))
		}
	}
	t.Fatal("no module carries three points")
	return ""
}

func firstCircuit(t testing.TB, j *job.Job) string {
	h, _, err := j.Head(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return url.PathEscape(string(h.Circuits[0].ID))
}

// A house of three hundred points, and names as long as a name may be.
func TestLargeHouseInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	rules := axe(t)
	b := browse(t, open(t, large(t, 300)))
	for _, scheme := range []string{"light", "dark"} {
		b.dress(1366, 768, scheme)
		for _, s := range []struct{ name, address string }{{"large-plan", "/"}, {"large-points", "/points"}, {"large-modules", "/modules"}, {"large-findings", "/findings"}, {"large-close", "/?show=0+0+120+80"}} {
			b.heard()
			b.goTo(s.address)
			b.picture(s.name + "-1366-" + scheme)
			if scheme == "light" {
				b.judge(s.name, rules, scheme)
			}
		}
	}
	b.dress(1920, 1080, "light")
	b.goTo("/")
	b.picture("large-plan-1920-light")
}

// longNames is a house whose every name is as long as it may be.
func longNames(t testing.TB) *job.Job {
	long := strings.TrimRight(strings.Repeat("gästezimmer-", 6), "-")
	h := generated.House(30, 3)
	room := h.Rooms[0]
	room.ID, room.Title = house.ID(long), "Das Gästezimmer über der Einliegerwohnung mit Blick auf den Łódźer Kanal und Donaudampfschifffahrtsgesellschaftsbetriebsraum"
	h.Rooms = append(h.Rooms, room)
	h.Title = room.Title
	h.Wishes = append(h.Wishes, house.Wish{ID: house.ID(long), Text: strings.Repeat("Donaudampfschifffahrt", 12)})
	for i := range 6 {
		p := h.Points[i]
		p.ID, p.Title, p.Room, p.Note = house.ID(fmt.Sprintf("%s.%d", long[:len(long)-4], i)), room.Title, room.ID, room.Title
		if p.Kind == house.Keypad {
			p.Keys = []string{"Rollladenkastenbeleuchtung", "Ł"}
		}
		h.Points = append(h.Points, p)
	}
	j := newJob(t, nil, "")
	if _, err := j.ReadHouse(context.Background(), "house.yaml", house.Write(h), room.Title); err != nil {
		t.Fatal(err)
	}
	return j
}

// Long names break where they must, in a usual window and in one of 320 px (WCAG 2.2, 1.4.10).
func TestLongNamesAndNarrowWindows(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	b := browse(t, open(t, longNames(t)))
	long := "/passport/" + url.PathEscape(strings.TrimRight(strings.Repeat("gästezimmer-", 6), "-"))
	for _, size := range [][2]int64{{1366, 768}, {320, 640}} {
		b.dress(size[0], size[1], "light")
		for name, address := range map[string]string{"plan": "/", "points": "/points", "modules": "/modules", "keys": "/keys", "findings": "/findings", "wishes": "/wishes", "papers": "/papers", "log": "/log", "room": long, "stage": "/stage/design"} {
			b.goTo(address)
			b.picture(fmt.Sprintf("long-%s-%d-light", name, size[0]))
			if w := ask[[]int](b, `[document.documentElement.scrollWidth, innerWidth]`); w[0] > w[1] || int64(w[1]) != size[0] {
				t.Errorf("%s is %d px wide in a window of %d px", name, w[0], w[1])
			}
		}
	}
}

// An empty job is as good to read as a full one.
func TestEmptyJobInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	rules := axe(t)
	b := browse(t, open(t, newJob(t, nil, "")))
	b.dress(1366, 768, "light")
	for _, s := range []struct{ name, address string }{{"plan", "/"}, {"points", "/points"}, {"rules", "/rules"}, {"tests", "/tests"}, {"papers", "/papers"}, {"stage", "/stage/survey"}} {
		b.heard()
		b.goTo(s.address)
		b.picture("empty-" + s.name + "-1366-light")
		b.judge("empty "+s.name, rules, "light")
	}
}

// The plan answers to keyboard, wheel and drag, and its address follows.
func TestPlanByHand(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	b := browse(t, open(t, example(t)))
	b.dress(1366, 768, "light")
	b.goTo("/plan/ground")
	if n := ask[int](b, `document.querySelectorAll('.plan a.item[tabindex="0"]').length`); n != 1 {
		t.Errorf("the Tab key stops at the plan %d times", n)
	}
	small := ask[[]string](b, `[...document.querySelectorAll(".plan a.item .hit")].filter((c) => c.getBoundingClientRect().width < 23.9).map((c) => c.parentNode.dataset.entity)`)
	if len(small) > 0 {
		t.Errorf("these are less than 24 px wide to hit: %v", small)
	}
	before := ask[string](b, `(() => { const a = document.querySelector('.plan a.item[tabindex="0"]'); a.focus(); return a.dataset.entity; })()`)
	b.must(chromedp.KeyEvent("\u0303")) // the right arrow
	if after := ask[string](b, `document.activeElement.dataset.entity`); after == before {
		t.Errorf("the arrow stays at %s", before)
	}
	b.must(chromedp.KeyEvent("+"))
	if w := ask[float64](b, `document.querySelector(".plan").viewBox.baseVal.width / Number(document.querySelector(".plan").dataset.whole.split(" ")[2])`); w > 0.81 || w < 0.79 {
		t.Errorf("the plus key shows %.2f of the sheet", w)
	}
	if !ask[bool](b, `new Promise((done) => setTimeout(() => done(location.search.startsWith("?show=")), 400))`) {
		t.Error("the address does not follow the section")
	}
	b.must(chromedp.KeyEvent("0"))
	if !ask[bool](b, `Math.abs(document.querySelector(".plan").viewBox.baseVal.width - Number(document.querySelector(".plan").dataset.whole.split(" ")[2])) < 0.01`) {
		t.Error("the key 0 does not show the whole storey")
	}
	place := ask[[]float64](b, `(() => { const r = document.querySelector('.plan a[data-entity="hall.ceiling"] .hit').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	b.must(chromedp.DragAndDropXY(place[0], place[1], place[0]+80, place[1]+40))
	if at := ask[string](b, `location.pathname`); at != "/plan/ground" {
		t.Errorf("a drag over a symbol opens %s", at)
	}
	moved := ask[float64](b, `document.querySelector('.plan a[data-entity="hall.ceiling"] .hit').getBoundingClientRect().x`)
	if d := moved + ask[float64](b, `document.querySelector('.plan a[data-entity="hall.ceiling"] .hit').getBoundingClientRect().width`)/2 - place[0]; d < 60 || d > 100 {
		t.Errorf("a drag of 80 px moves the plan by %.0f px", d)
	}
	b.must(chromedp.Click(chromedp.CSS(`.plan a[data-entity="hall.ceiling"] .hit`)), chromedp.WaitVisible(chromedp.CSS("main.passport")))
	if at := ask[string](b, `location.pathname`); at != "/passport/hall.ceiling" {
		t.Errorf("a click on the symbol opens %s", at)
	}
}

// First paint and the weight of a page, measured by the browser; the bound is the project's own.
func TestFirstPaint(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	b := browse(t, open(t, example(t)))
	b.dress(1366, 768, "light")
	b.must(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true})
		return err
	}))
	b.goTo("/points")
	for range 3 {
		b.goTo("/")
		m := ask[map[string]float64](b, `new Promise((done) => requestAnimationFrame(() => setTimeout(() => { const n = performance.getEntriesByType("navigation")[0];
			const p = performance.getEntriesByName("first-contentful-paint")[0]; const files = performance.getEntriesByType("resource");
			done({paint: p ? p.startTime : -1, answer: n.responseEnd, loaded: n.loadEventEnd, page: n.transferSize, files: files.reduce((s, f) => s + f.transferSize, 0), count: files.length}); }, 100)))`)
		t.Logf("first paint %.0f ms, answer %.0f ms, loaded %.0f ms; page %.1f kB, %.0f files %.1f kB", m["paint"], m["answer"], m["loaded"], m["page"]/1000, m["count"], m["files"]/1000)
		if m["paint"] < 0 {
			t.Error("the browser tells no first paint")
		}
		if kB := (m["page"] + m["files"]) / 1000; kB > 700 {
			t.Errorf("the plan weighs %.0f kB", kB)
		}
	}
}

// Without script every page is whole: the plan zooms and moves by its links.
func TestPlanWithoutScript(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	b := browse(t, open(t, example(t)))
	b.must(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
	b.dress(1366, 768, "light")
	b.must(chromedp.Navigate(b.desk.http.URL+"/"), chromedp.Click(chromedp.CSS(`a[data-move="Closer"]`)), chromedp.WaitReady(chromedp.CSS(".plan")))
	at, err := chromedp.Run(b.ctx, chromedp.Location())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(at, "/plan/ground?show=") {
		t.Errorf("the link for closer leads to %s", at)
	}
	b.picture(fmt.Sprintf("plan-no-script-%d-light", 1366))
}
