package workbench

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/job"
)

// fixed is the clock of the tests: the log and the papers show it.
func fixed() time.Time { return time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC) }

// newJob makes a job in a folder of its own; a house text is read into it, and its points are landed.
func newJob(t testing.TB, text []byte, behaviour string) *job.Job {
	t.Helper()
	ctx := context.Background()
	j, err := job.Create(ctx, filepath.Join(t.TempDir(), "house.wirewright"), job.Options{Who: "Tester", Now: fixed})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = j.Close() })
	if text == nil {
		return j
	}
	if _, err := j.ReadHouse(ctx, "house.yaml", text, "bring in the house"); err != nil {
		t.Fatal(err)
	}
	if behaviour != "" {
		if _, err := j.SetTexts(ctx, behaviour, "", "write the behaviour"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := j.Allot(ctx, 0); err != nil {
		t.Fatal(err)
	}
	return j
}

// example is the example house with its behaviour, landed.
func example(t testing.TB) *job.Job {
	t.Helper()
	text, err := os.ReadFile("../examples/weirhouse/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	behaviour, err := os.ReadFile("../examples/weirhouse/behaviour.txt")
	if err != nil {
		t.Fatal(err)
	}
	return newJob(t, text, string(behaviour))
}

// large is a generated house; its modules and landings are its own.
func large(t testing.TB, points int) *job.Job {
	t.Helper()
	j := newJob(t, nil, "")
	if _, err := j.ReadHouse(context.Background(), "house.yaml", house.Write(generated.House(points, 1)), "generate"); err != nil {
		t.Fatal(err)
	}
	return j
}

// desk is a workbench on a real socket, and a client that was let in.
type desk struct {
	t      testing.TB
	server *Server
	http   *httptest.Server
	client *http.Client
}

func open(t testing.TB, j *job.Job) *desk {
	t.Helper()
	s, err := New(j, Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{t: t, server: s, http: httptest.NewServer(s)}
	t.Cleanup(d.http.Close)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	d.client = &http.Client{Jar: jar}
	if status, _, _ := d.get(s.URL(d.http.Listener.Addr())); status != http.StatusOK {
		t.Fatalf("the address of the workbench answers %d", status)
	}
	return d
}

// get asks for an address, a path or a whole one.
func (d *desk) get(address string) (int, string, http.Header) {
	d.t.Helper()
	if strings.HasPrefix(address, "/") {
		address = d.http.URL + address
	}
	r, err := d.client.Get(address)
	if err != nil {
		d.t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		d.t.Fatal(err)
	}
	return r.StatusCode, string(b), r.Header
}

func TestPagesShowTheExample(t *testing.T) {
	d := open(t, example(t))
	for _, c := range []struct {
		address string
		want    []string
	}{
		{"/", []string{"Ground storey", `href="/passport/hall.ceiling"`, `data-entity="hall.ceiling"`, `class="area wall"`, "Survey", "Look after", "Closer"}},
		{"/plan/upper", []string{"Upper storey", `data-entity="landing.ceiling"`}},
		{"/plan/ground?show=10+10+40+30", []string{`viewBox="10 10 40 30"`}},
		{"/plan/ground?at=hall.ceiling", []string{`class="ring"`}},
		{"/passport/hall.ceiling", []string{"hall-light", "toggle hall.ceiling", "Moved by", "Landings", "History", "Show on the plan"}},
		{"/passport/hall.keys", []string{"Takes part in deciding", "hall.keys.1", "key 1"}},
		{"/passport/hall", []string{"floor area", "hall.ceiling"}},
		{"/points", []string{`href="/passport/hall.ceiling"`, "Lands on"}},
		{"/points?find=kitchen+lamp", []string{"kitchen.ceiling", "kitchen.worktop"}},
		{"/modules", []string{"Channel", `href="/passport/hall.ceiling"`}},
		{"/findings", []string{"Findings", "remark"}},
		{"/explain/bus/too-long", []string{"A house with such a finding", "Source:"}},
		{"/rules", []string{`id="L1"`, "rule hall-light:", "needs no network"}},
		{"/keys", []string{"What it does", "hall.keys"}},
		{"/tests", []string{"Rehearsal (simulated)", "press hall.keys.1"}},
		{"/wishes", []string{"In the client&#39;s words", "by-hand"}},
		{"/papers", []string{"/papers/handover.pdf", "/plan/ground/drawing.svg"}},
		{"/log", []string{"bring in the house", "allot modules", "2026-05-04 11:30"}},
		{"/stage/design", []string{"wirewright allot", "all landed"}},
	} {
		status, body, header := d.get(c.address)
		if status != http.StatusOK {
			t.Errorf("%s answers %d: %s", c.address, status, body)
			continue
		}
		if got := header.Get("Content-Security-Policy"); got != policy {
			t.Errorf("%s has the policy %q", c.address, got)
		}
		for _, w := range c.want {
			if !strings.Contains(body, strings.ReplaceAll(w, "In the client&#39;s", "In the client's")) {
				t.Errorf("%s does not show %q", c.address, w)
			}
		}
	}
}

func TestEveryLinkLeadsSomewhere(t *testing.T) {
	d := open(t, example(t))
	seen := map[string]bool{}
	queue := []string{"/"}
	for n := 0; len(queue) > 0; n++ {
		if n > 2000 {
			t.Fatal("more than 2000 addresses: a link leads ever on")
		}
		address := queue[0]
		queue = queue[1:]
		status, body, header := d.get(address)
		if status != http.StatusOK {
			t.Errorf("%s answers %d: %.300s", address, status, body)
		}
		if !strings.HasPrefix(header.Get("Content-Type"), "text/html") {
			continue
		}
		for _, part := range strings.Split(body, `href="`)[1:] {
			to, _, _ := strings.Cut(part, `"`)
			to, _, _ = strings.Cut(strings.ReplaceAll(to, "&amp;", "&"), "#")
			if !strings.HasPrefix(to, "/") || strings.Contains(to, "show=") || strings.HasPrefix(to, staticPath) || strings.HasPrefix(to, "/papers/") || seen[to] {
				continue
			}
			seen[to] = true
			queue = append(queue, to)
		}
	}
	if len(seen) < 150 {
		t.Errorf("only %d addresses are linked", len(seen))
	}
}

func TestEmptyJobOffersTheNextStep(t *testing.T) {
	d := open(t, newJob(t, nil, ""))
	for address, want := range map[string]string{
		"/": "wirewright import", "/points": "wirewright furnish", "/modules": "wirewright allot", "/rules": "wirewright write", "/keys": "wirewright furnish",
		"/findings": "The checks found nothing", "/tests": "wirewright rehearse", "/wishes": "wishes", "/papers": "nothing to hand over", "/log": "Here every revision",
		"/stage/survey": "wirewright import",
	} {
		if status, body, _ := d.get(address); status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%s of an empty job answers %d without %q", address, status, want)
		}
	}
}

func TestMistakesInTheTextAreToldAtTheirLine(t *testing.T) {
	text, err := os.ReadFile("../examples/weirhouse/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := open(t, newJob(t, text, "rule good:\n  when hall.keys.1 is pressed: toggle hall.ceiling\nrule bad:\n  when hall.keys.1 is pressed: toggle hall.cieling\n"))
	_, body, _ := d.get("/rules")
	_, after, found := strings.Cut(body, `<tr id="L4" class="wrong">`)
	if row, _, _ := strings.Cut(after, "</tr>"); !found || !strings.Contains(row, "hall.ceiling?") {
		t.Errorf("line 4 does not say what is wrong with it")
	}
}

func TestUnknownNamesGetTheNearest(t *testing.T) {
	d := open(t, example(t))
	for address, want := range map[string]string{
		"/passport/hall.cieling": `<a href="/passport/hall.ceiling">hall.ceiling</a>?`, "/plan/groud": `<a href="/plan/ground">ground</a>?`, "/pionts": `<a href="/points">/points</a>?`,
		"/stage/desing": `<a href="/stage/design">design</a>?`, "/papers/handover.pfd": `<a href="/papers/handover.pdf">handover.pdf</a>?`, "/api/nothing": "There is no such page", "/explain/bus/too-lnog": "did you mean bus/too-long?",
	} {
		if status, body, _ := d.get(address); status != http.StatusNotFound || !strings.Contains(body, want) {
			t.Errorf("%s answers %d without %q:\n%s", address, status, want, body)
		}
	}
}

func TestFindLeadsToThePassportOrTheSchedule(t *testing.T) {
	d := open(t, example(t))
	if _, body, _ := d.get("/find?find=Hall.Ceiling"); !strings.Contains(body, "<code class=\"id\">hall.ceiling</code>") {
		t.Error("a whole name does not lead to the passport")
	}
	if _, body, _ := d.get("/find?find=worktop"); !strings.Contains(body, "kitchen.worktop") || strings.Contains(body, `href="/passport/hall.ceiling"`) {
		t.Error("a part of a name does not lead to the rows that have it")
	}
}

func TestHostileNamesAreText(t *testing.T) {
	d := open(t, example(t))
	for _, id := range []string{"%3Cscript%3Ealert(1)%3C/script%3E", "..%2F..%2Fetc%2Fpasswd", "%22onmouseover=%22x", "%00", "javascript:alert(1)", strings.Repeat("a", 5000), "%E2%80%AEgro.koob"} {
		for _, at := range []string{"/passport/", "/plan/", "/stage/", "/papers/", "/api/passport/", "/api/plan/", "/points?find=", "/points?sort=", "/points?page=", "/findings?severity=", "/find?find=", "/plan/ground?at=", "/plan/ground?show=", "/passport/hall.ceiling?kind="} {
			status, body, header := d.get(at + id)
			if status >= 500 {
				t.Errorf("%s%.40s answers %d", at, id, status)
			}
			if strings.Contains(body, "<script>alert") || strings.Contains(body, `"onmouseover="`) {
				t.Errorf("%s%.40s: the name comes back as markup", at, id)
			}
			if header.Get("X-Content-Type-Options") != "nosniff" {
				t.Errorf("%s%.40s: the browser may guess the type", at, id)
			}
		}
	}
}

// A house whose every text is hostile: titles, notes, key captions and the like go through the templates and the plan.
func TestHostileTextsInTheHouseAreText(t *testing.T) {
	const evil = `<img src=x onerror=alert(1)>"'&{{.}}</title></svg><script>alert(1)</script>`
	h := generated.House(40, 1)
	h.Title = evil
	for i := range h.Rooms {
		h.Rooms[i].Title, h.Rooms[i].Note = evil, evil
	}
	for i := range h.Points {
		h.Points[i].Title, h.Points[i].Note = evil, evil
	}
	for i := range h.Storeys {
		h.Storeys[i].Title = evil
	}
	for i := range h.Wishes {
		h.Wishes[i].Text = evil
	}
	j := newJob(t, nil, "")
	if _, err := j.ReadHouse(context.Background(), "house.yaml", house.Write(h), evil); err != nil {
		t.Fatal(err)
	}
	d := open(t, j)
	point := string(h.Points[0].ID)
	for _, address := range []string{"/", "/plan/storey1?at=" + point, "/points", "/modules", "/findings", "/rules", "/keys", "/tests", "/wishes", "/papers", "/log", "/passport/" + point, "/passport/" + string(h.Rooms[0].ID)} {
		status, body, _ := d.get(address)
		if status != http.StatusOK {
			t.Errorf("%s answers %d: %.300s", address, status, body)
		}
		if strings.Contains(body, "<img") || strings.Contains(body, "<script>") || strings.Count(body, "</html>") != 1 {
			t.Errorf("%s takes a text of the house for markup", address)
		}
	}
}

func TestPapersAreMadeOnRequest(t *testing.T) {
	d := open(t, example(t))
	for name, begin := range map[string]string{"handover.pdf": "%PDF-", "handover.xlsx": "PK", "house.yaml": "format: " + house.FormatName} {
		status, body, header := d.get("/papers/" + name)
		if status != http.StatusOK || !strings.HasPrefix(body, begin) || !strings.Contains(header.Get("Content-Disposition"), name) {
			t.Errorf("%s: %d, %.20q, %s", name, status, body, header.Get("Content-Disposition"))
		}
	}
	status, body, header := d.get("/plan/ground/drawing.svg")
	if status != http.StatusOK || !strings.Contains(body, "<style>") || !strings.Contains(header.Get("Content-Security-Policy"), "sandbox") {
		t.Errorf("the drawing answers %d", status)
	}
}

func TestFilesOfTheStyle(t *testing.T) {
	d := open(t, newJob(t, nil, ""))
	status, _, header := d.get(d.server.files.address("font/sans-latin-400.woff2"))
	if status != http.StatusOK || header.Get("Content-Type") != "font/woff2" || !strings.Contains(header.Get("Cache-Control"), "immutable") {
		t.Errorf("the typeface answers %d as %s", status, header.Get("Content-Type"))
	}
	for _, path := range []string{"/static/", "/static/style.css", "/static/000000000000/style.css", d.server.files.address(""), d.server.files.address("../template/frame.html")} {
		if status, _, _ := d.get(path); status != http.StatusNotFound {
			t.Errorf("%s answers %d", path, status)
		}
	}
}

func TestServeEndsWithItsContext(t *testing.T) {
	s, err := New(newJob(t, nil, ""), Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, l) }()
	jar, _ := cookiejar.New(nil) // never fails
	r, err := (&http.Client{Jar: jar}).Get(s.URL(l.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	_ = r.Body.Close()
	cancel()
	if err := <-done; err != nil {
		t.Errorf("it ends with %v", err)
	}
	if _, err := net.Dial("tcp", l.Addr().String()); err == nil {
		t.Error("it still listens")
	}
}

func TestServeRefusesOtherMachines(t *testing.T) {
	j := newJob(t, nil, "")
	s, err := New(j, Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "0.0.0.0:0")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Serve(context.Background(), l); !errors.Is(err, ErrNotLoopback) {
		t.Errorf("it listens to other machines: %v", err)
	}
}

func TestManyMayAskAtATime(t *testing.T) {
	d := open(t, example(t))
	var all sync.WaitGroup
	for _, address := range []string{"/", "/points", "/passport/hall.ceiling", "/api/findings", "/rules", "/log", "/plan/upper", "/tests"} {
		all.Add(1)
		go func() {
			defer all.Done()
			if status, _, _ := d.get(address); status != http.StatusOK {
				t.Errorf("%s answers %d", address, status)
			}
		}()
	}
	all.Wait()
}

func TestAnEditShowsAtOnce(t *testing.T) {
	j := example(t)
	d := open(t, j)
	h, rev, err := j.Head(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	after := *h
	after.Title = "House with another name"
	if _, err := j.Edit(context.Background(), rev, house.Diff(h, &after), "rename"); err != nil {
		t.Fatal(err)
	}
	if _, body, _ := d.get("/"); !strings.Contains(body, "House with another name") {
		t.Error("the page shows the revision before")
	}
}
