package virtual

import (
	"embed"
	"encoding/json"
	"errors"
	"html/template"
	"mime"
	"net/http"
	"net/url"
	"strings"
)

//go:embed page
var pageFiles embed.FS

// formMost bounds what the page takes.
const formMost = 8 << 10

// Card is what the page tells a program: who the module is, and whether it waits to be set up. It holds no secret.
type Card struct {
	Hardware string `json:"hardware"`
	Type     string `json:"type"`
	Firmware string `json:"firmware"`
	Setup    bool   `json:"setup"`
	Name     string `json:"name,omitempty"`
	House    string `json:"house,omitempty"`
}

// card is what the module is now.
func (m *Module) card() Card {
	m.mu.Lock()
	defer m.mu.Unlock()
	return Card{Hardware: m.c.Hardware, Type: m.c.Type, Firmware: firmware, Setup: !m.joined, Name: m.join.Name, House: m.join.House}
}

// pageData is what the page shows.
type pageData struct {
	Card
	Joined bool
	Given  Join // what was entered, without password and secret
	Error  []string
}

// handler serves page and bench.
func (m *Module) handler() (http.Handler, error) {
	t, err := template.ParseFS(pageFiles, "page/page.html")
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { m.show(w, t, http.StatusOK, pageData{}) })
	mux.HandleFunc("GET /page.css", func(w http.ResponseWriter, r *http.Request) { http.ServeFileFS(w, r, pageFiles, "page/page.css") })
	mux.HandleFunc("GET /card.json", func(w http.ResponseWriter, r *http.Request) { writeJSON(w, http.StatusOK, m.card()) })
	mux.HandleFunc("POST /join", func(w http.ResponseWriter, r *http.Request) { m.joinRequest(w, r, t) })
	if m.c.Token != "" {
		m.bench(mux)
	}
	return m.guarded(mux), nil
}

// guarded refuses what another web page makes a browser send: a foreign Host (name rebinding) or a foreign Origin.
func (m *Module) guarded(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		header := w.Header()
		header.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; form-action 'self'; frame-ancestors 'none'")
		header.Set("X-Content-Type-Options", "nosniff")
		header.Set("Cache-Control", "no-store")
		m.mu.Lock()
		powered := m.powered
		m.mu.Unlock()
		origin := r.Header.Get("Origin")
		u, err := url.Parse(origin)
		switch {
		case r.Host != m.Page():
			http.Error(w, "this page is at http://"+m.Page(), http.StatusMisdirectedRequest)
		case origin != "" && (err != nil || u.Host != m.Page()):
			http.Error(w, "not from another page", http.StatusForbidden)
		case !powered && !strings.HasPrefix(r.URL.Path, "/bench/"):
			// No power, no answer: what connects sees the connection close.
			panic(http.ErrAbortHandler)
		default:
			r.Body = http.MaxBytesReader(w, r.Body, formMost)
			h.ServeHTTP(w, r)
		}
	})
}

// show writes the page.
func (m *Module) show(w http.ResponseWriter, t *template.Template, status int, d pageData) {
	d.Card = m.card()
	d.Joined = !d.Setup
	d.Given.Password, d.Given.Secret = "", ""
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_ = t.Execute(w, d) // the other side has gone
}

// joinRequest takes the form, or the same as JSON.
func (m *Module) joinRequest(w http.ResponseWriter, r *http.Request, t *template.Template) {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	var j Join
	if kind == "application/json" {
		d := json.NewDecoder(r.Body)
		d.DisallowUnknownFields()
		err := d.Decode(&j)
		status := http.StatusBadRequest
		if err == nil {
			status, err = m.take(j)
		}
		if err != nil {
			writeJSON(w, status, map[string]string{"error": err.Error()})
			return
		}
		writeJSON(w, http.StatusOK, m.card())
		return
	}
	if err := r.ParseForm(); err != nil {
		m.show(w, t, http.StatusBadRequest, pageData{Error: []string{"the form cannot be read"}})
		return
	}
	f := func(name string) string { return strings.TrimSpace(r.PostForm.Get(name)) }
	j = Join{Network: r.PostForm.Get("network"), Password: r.PostForm.Get("password"), House: f("house"), Broker: f("broker"),
		Name: f("name"), Secret: r.PostForm.Get("secret")}
	if status, err := m.take(j); err != nil {
		m.show(w, t, status, pageData{Given: j, Error: strings.Split(err.Error(), "\n")})
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// take joins and says with which status it failed.
func (m *Module) take(j Join) (int, error) {
	err := m.Join(j)
	switch {
	case errors.Is(err, errJoined):
		return http.StatusConflict, err
	case err != nil:
		return http.StatusUnprocessableEntity, err
	}
	return http.StatusOK, nil
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // the other side has gone
}
