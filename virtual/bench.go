package virtual

import (
	"context"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"wirewright/site/agent"
)

// Look is what the eyes at the bench see of a module.
type Look struct {
	Card
	Powered  bool
	Radio    bool
	Now      int64         // time of the house, ms since 1970 UTC
	Readings []Reading     `json:",omitempty"` // a full look only
	Report   *agent.Report `json:",omitempty"` // once it has joined
}

// handRequest is what the hands at the bench do; each act reads the members that it needs.
type handRequest struct {
	Module  string `json:"module,omitempty"`
	Channel string `json:"channel,omitempty"`
	Value   int32  `json:"value,omitempty"`
	MS      int64  `json:"ms,omitempty"`
	On      bool   `json:"on,omitempty"`
}

// bench adds the hands and eyes. They are no part of a module: a real one has none, and whoever has not the token does
// not reach them.
func (m *Module) bench(mux *http.ServeMux) {
	act := func(name string, f func(handRequest) error) {
		mux.HandleFunc("POST /bench/"+name, m.tokened(func(w http.ResponseWriter, r *http.Request) {
			var h handRequest
			if err := json.NewDecoder(r.Body).Decode(&h); err != nil {
				writeJSON(w, http.StatusBadRequest, map[string]string{"error": err.Error()})
				return
			}
			if err := f(h); err != nil {
				writeJSON(w, http.StatusUnprocessableEntity, map[string]string{"error": err.Error()})
				return
			}
			writeJSON(w, http.StatusOK, m.glance())
		}))
	}
	mux.HandleFunc("GET /bench/look", m.tokened(func(w http.ResponseWriter, r *http.Request) {
		l := m.glance()
		l.Readings = m.hardware.readings()
		writeJSON(w, http.StatusOK, l)
	}))
	mux.HandleFunc("GET /bench/glance", m.tokened(func(w http.ResponseWriter, r *http.Request) { writeJSON(w, http.StatusOK, m.glance()) }))
	act("put", m.put)
	act("wind", m.wind)
	act("clock", m.setClock)
	act("power", func(h handRequest) error { return m.Power(h.On) })
	act("radio", func(h handRequest) error { return m.Radio(h.On) })
	act("factory", func(handRequest) error { return m.Factory() })
	act("rest", func(handRequest) error { return m.rest() })
}

// tokened lets only the bench through.
func (m *Module) tokened(f http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if subtle.ConstantTimeCompare([]byte(r.Header.Get("Bench-Token")), []byte(m.c.Token)) != 1 {
			http.Error(w, "not the bench of this module", http.StatusForbidden)
			return
		}
		f(w, r)
	}
}

// glance sees the module, but not its channels.
func (m *Module) glance() Look {
	l := Look{Card: m.card(), Now: m.clock.Wall().UnixMilli()}
	m.mu.Lock()
	l.Powered, l.Radio = m.powered, m.radio
	m.mu.Unlock()
	if a := m.running(); a != nil {
		if r, ok := a.Report(); ok {
			l.Report = &r
		}
	}
	return l
}

// put sets what an input reads.
func (m *Module) put(h handRequest) error {
	if !m.hardware.put(h.Module, h.Channel, h.Value) {
		return errors.New("no such input: " + h.Module + " " + h.Channel)
	}
	if a := m.running(); a != nil {
		module := h.Module
		if module == "" {
			module = m.card().Name
		}
		a.Input(module, h.Channel, h.Value)
	}
	return nil
}

// windMost bounds how far the clock is wound at once.
const windMost = 366 * 24 * time.Hour

// wind lets time pass at once.
func (m *Module) wind(h handRequest) error {
	d := time.Duration(h.MS) * time.Millisecond
	if h.MS < 0 || d > windMost {
		return errors.New("a clock is wound forward, by a year at most")
	}
	m.clock.Wind(d)
	if a := m.running(); a != nil {
		a.Tick()
	}
	return nil
}

// setClock sets the time of the house.
func (m *Module) setClock(h handRequest) error {
	m.clock.Set(time.UnixMilli(h.MS))
	if a := m.running(); a != nil {
		a.Clocks()
	}
	return nil
}

// rest brings inputs to rest and the program to its start.
func (m *Module) rest() error {
	m.hardware.rest()
	if a := m.running(); a != nil {
		a.Restart()
	}
	return nil
}

// serve answers until ctx ends.
func (m *Module) serve(ctx context.Context) error {
	h, err := m.handler()
	if err != nil {
		return err
	}
	s := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 10 * time.Second, MaxHeaderBytes: 16 << 10}
	failed := make(chan error, 1)
	go func() { failed <- s.Serve(m.page) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
		return s.Close()
	}
}
