package workbench

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"wirewright/check"
	"wirewright/internal/problem"
	"wirewright/job"
)

// routes is the map of the site.
func (s *Server) routes() http.Handler {
	m := http.NewServeMux()
	for _, p := range pageList() {
		m.HandleFunc("GET "+p.address, s.page(p))
	}
	m.HandleFunc("GET /find", s.find)
	m.HandleFunc("GET /plan/{storey}/drawing.svg", s.planFile)
	m.HandleFunc("GET /papers/{name}", s.paper)
	m.HandleFunc("GET /api/house", s.apiHouse)
	m.HandleFunc("GET /api/findings", s.apiFindings)
	m.HandleFunc("GET /api/stages", s.apiStages)
	m.HandleFunc("GET /api/plan/{storey}", s.apiPlan)
	m.HandleFunc("GET /api/passport/{id}", s.apiPassport)
	m.Handle("GET "+staticPath, s.files)
	m.HandleFunc("/", s.nowhere)
	return m
}

// pageOf is one page: where it is, which template shows it, and what it shows.
type pageOf struct {
	address string
	name    string // of its template
	view    string // the view of the navigation that it belongs to
	make    func(v *job.View, r *http.Request) (shown, error)
}

// shown is what one page shows.
type shown struct {
	Title string
	Body  any
}

// pageList lists the pages, in the order of the navigation.
func pageList() []pageOf {
	return []pageOf{
		{"/{$}", "plan", "/", planPage},
		{"/plan/{storey}", "plan", "/", planPage},
		{"/points", "points", "/points", pointsPage},
		{"/modules", "modules", "/modules", modulesPage},
		{"/rules", "rules", "/rules", rulesPage},
		{"/keys", "keys", "/keys", keysPage},
		{"/findings", "findings", "/findings", findingsPage},
		{"/tests", "tests", "/tests", testsPage},
		{"/wishes", "wishes", "/wishes", wishesPage},
		{"/papers", "papers", "/papers", papersPage},
		{"/explain/{topic}/{rule}", "explain", "/findings", explainPage},
		{"/log", "log", "/log", logPage},
		{"/stage/{name}", "stage", "", stagePage},
		{"/passport/{id}", "passport", "", passportPage},
	}
}

// views are the entries of the navigation.
func views() []job.Fact {
	return []job.Fact{{Name: "Plan", Value: "/"}, {Name: "Points", Value: "/points"}, {Name: "Modules", Value: "/modules"}, {Name: "Rules", Value: "/rules"},
		{Name: "Keys", Value: "/keys"}, {Name: "Tests", Value: "/tests"}, {Name: "Wishes", Value: "/wishes"}, {Name: "Findings", Value: "/findings"},
		{Name: "Papers", Value: "/papers"}, {Name: "Log", Value: "/log"}}
}

// frame is what every page has around what it shows.
type frame struct {
	shown
	View   *job.View
	Stages []job.StageView
	Views  []job.Fact
	Here   string // address of the view
	Stage  string // name of the stage whose page it is
	Find   string // what was looked for
}

// page makes the handler of a page: look, make, show.
func (s *Server) page(p pageOf) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := s.look(r.Context())
		if err != nil {
			s.fail(w, r, err)
			return
		}
		body, err := p.make(v, r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		f := frame{shown: body, View: v, Stages: v.Stages(), Views: views(), Here: p.view, Stage: r.PathValue("name"), Find: r.URL.Query().Get("find")}
		s.write(w, http.StatusOK, p.name, f)
	}
}

// write fills a template first and sends it then, so that half a page is never sent.
func (s *Server) write(w http.ResponseWriter, status int, name string, data any) {
	var b bytes.Buffer
	if err := s.pages[name].ExecuteTemplate(&b, "page", data); err != nil {
		http.Error(w, "this page cannot be shown: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // who has gone away misses nothing
}

// refusal is a page that says why there is nothing to see, and what to do.
type refusal struct {
	Title, Text, Hint string
	Near, To          string // the nearest name that there is, and its address
	Inside            bool   // the person is known: offer the way back
}

func (s *Server) refuse(w http.ResponseWriter, status int, title, hint string) {
	s.write(w, status, "refusal", refusal{Title: title, Hint: hint})
}

// fail answers with an error of package job by its kind.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	status, out := statusOf(err), refusal{Title: "This cannot be shown", Text: err.Error(), Inside: true}
	var own *job.Error
	if errors.As(err, &own) {
		out.Hint = own.Hint
	}
	if status == http.StatusNotFound {
		out.Title = "There is no such thing here"
		out.near(r)
	}
	s.write(w, status, "refusal", out)
}

// near turns the hint that names the nearest into a link: the same address with that name in it.
func (f *refusal) near(r *http.Request) {
	name, ok := strings.CutPrefix(f.Hint, "did you mean ")
	name, whole := strings.CutSuffix(name, "?")
	if !ok || !whole {
		return
	}
	f.Near, f.Hint = name, ""
	if f.To = name; !strings.HasPrefix(name, "/") {
		parent, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
		u := url.URL{Path: "/" + parent + "/" + name, RawQuery: r.URL.RawQuery}
		f.To = u.String()
	}
}

func statusOf(err error) int {
	switch job.KindOf(err) {
	case job.Missing:
		return http.StatusNotFound
	case job.Invalid:
		return http.StatusBadRequest
	case job.Conflict:
		return http.StatusConflict
	case job.Refused:
		return http.StatusForbidden
	}
	return http.StatusInternalServerError
}

// nowhere answers for addresses that there are not, with the nearest one that there is.
func (s *Server) nowhere(w http.ResponseWriter, r *http.Request) {
	var known []string
	for _, v := range views() {
		known = append(known, v.Value)
	}
	out := refusal{Title: "There is no such page", Text: r.URL.Path, Inside: true, Hint: problem.DidYouMean(r.URL.Path, known)}
	out.near(r)
	s.write(w, http.StatusNotFound, "refusal", out)
}

// readPages reads the templates: each page with the frame and the parts that all share.
func (s *Server) readPages() (map[string]*template.Template, error) {
	base := template.New("").Funcs(template.FuncMap{
		"link": linkTo, "file": s.files.address, "worst": worst, "rest": rest, "why": reasons(), "about": about,
	})
	base, err := base.ParseFS(embedded, "template/frame.html", "template/part.html", "template/drawing.html")
	if err != nil {
		return nil, err
	}
	pages := map[string]*template.Template{}
	names := []string{"refusal"}
	for _, p := range pageList() {
		names = append(names, p.name)
	}
	for _, name := range names {
		if pages[name] != nil {
			continue
		}
		page, err := base.Clone()
		if err == nil {
			page, err = page.ParseFS(embedded, "template/"+name+".html")
		}
		if err != nil {
			return nil, err
		}
		pages[name] = page
	}
	return pages, nil
}

// link is the address of the passport of an entity; a text of the house has its own page.
func link[T ~string](kind string, name T) string {
	id := string(name)
	switch kind {
	case "", "point", "module", "room", "board", "line":
		return "/passport/" + url.PathEscape(id)
	case "text":
		return "/rules"
	case "site", "network":
		return "/passport/" + kind + "?kind=" + kind
	}
	return "/passport/" + url.PathEscape(id) + "?kind=" + url.QueryEscape(kind)
}

// linkTo is link for templates, which have names as identities and as plain texts.
func linkTo(kind string, name any) string { return link(kind, fmt.Sprint(name)) }

// worst is the most severe of some findings, for the mark beside their number.
func worst(list []check.Finding) check.Severity {
	for _, s := range severities {
		for _, f := range list {
			if f.Severity == s {
				return s
			}
		}
	}
	return ""
}

// about is where a finding leads: to the passport of its entity, or to the line of the behaviour text that it names.
func about(f check.Finding) string {
	var line int
	if _, err := fmt.Sscanf(f.Text, "line %d:", &line); f.Kind == "text" && err == nil {
		return fmt.Sprintf("/rules#L%d", line)
	}
	return link(f.Kind, f.Entity)
}

// rest is what a finding says behind the name of its entity, which stands before it as a link.
func rest(f check.Finding) string {
	if s, ok := strings.CutPrefix(f.Text, string(f.Entity)+" "); ok && f.Entity != "" {
		return " " + s
	}
	return ": " + f.Text
}

var severities = []check.Severity{check.Fault, check.Caution, check.Remark}

// find leads to what is looked for: to its passport where the name is known, to the points that have the words in them
// else.
func (s *Server) find(w http.ResponseWriter, r *http.Request) {
	v, err := s.look(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	word := strings.TrimSpace(r.URL.Query().Get("find"))
	for _, e := range v.All() {
		if strings.EqualFold(string(e.ID), word) {
			http.Redirect(w, r, link(e.Kind, e.ID), http.StatusSeeOther)
			return
		}
	}
	http.Redirect(w, r, "/points?"+url.Values{"find": {word}}.Encode(), http.StatusSeeOther)
}
