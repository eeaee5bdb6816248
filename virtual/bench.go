package virtual

import (
	"context"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"wirewright/site/agent"
)

// Look is what the eyes at the bench see of a module.
type Look struct {
	Card
	Powered  bool
	Radio    bool
	AtRest   bool          // inputs and program are as they are at the start
	Now      int64         // time of the house, ms since 1970 UTC
	Wound    time.Duration // how far its clock was wound
	Readings []Reading     `json:",omitempty"` // a full look only
	Report   *agent.Report `json:",omitempty"` // once it has joined
}

// handRequest is what the hands at the bench do; each act reads the members that it needs.
type handRequest struct {
	Act     string `json:"act,omitempty"`
	Module  string `json:"module,omitempty"`
	Channel string `json:"channel,omitempty"`
	Value   int32  `json:"value,omitempty"`
	MS      int64  `json:"ms,omitempty"`
	On      bool   `json:"on,omitempty"`
}

// The acts at the bench.
const (
	actLook    = "look"    // see everything
	actGlance  = "glance"  // see all but the channels
	actPut     = "put"     // set what an input reads
	actWind    = "wind"    // let time pass; with 0: what is due happens now
	actClock   = "clock"   // set the time of the house
	actClocked = "clocked" // the time of the house was set
	actPower   = "power"   // plug in, or pull the plug
	actRadio   = "radio"   // out of reach, or back
	actFactory = "factory" // reset to the factory state
	actRest    = "rest"    // inputs at rest, program at its start
)

// do carries out an act.
func (m *Module) do(h handRequest) (Look, error) {
	var err error
	switch h.Act {
	case actLook, actGlance:
	case actPut:
		err = m.put(h)
	case actWind:
		err = m.wind(h)
	case actClock:
		m.clock.Set(time.UnixMilli(h.MS))
		m.clocked()
	case actClocked:
		m.clocked()
	case actPower:
		err = m.Power(h.On)
	case actRadio:
		err = m.Radio(h.On)
	case actFactory:
		err = m.Factory()
	case actRest:
		m.hardware.rest()
		if a := m.running(); a != nil {
			a.Restart()
		}
	default:
		err = fmt.Errorf("the bench knows no act %q", h.Act)
	}
	if err != nil {
		return Look{}, err
	}
	return m.look(h.Act == actLook), nil
}

// bench adds the hands and eyes over HTTP. They are no part of a module: a real one has none, and whoever has not the
// token does not reach them.
func (m *Module) bench(mux *http.ServeMux) {
	answer := func(w http.ResponseWriter, h handRequest) {
		l, err := m.do(h)
		if err != nil {
			writeJSON(w, http.StatusUnprocessableEntity, map[string]string{"error": err.Error()})
			return
		}
		writeJSON(w, http.StatusOK, l)
	}
	mux.HandleFunc("GET /bench/look", m.tokened(func(w http.ResponseWriter, r *http.Request) { answer(w, handRequest{Act: actLook}) }))
	mux.HandleFunc("POST /bench/{act}", m.tokened(func(w http.ResponseWriter, r *http.Request) {
		var h handRequest
		if err := json.NewDecoder(r.Body).Decode(&h); err != nil {
			writeJSON(w, http.StatusBadRequest, map[string]string{"error": err.Error()})
			return
		}
		h.Act = r.PathValue("act")
		answer(w, h)
	}))
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

// look sees the module.
func (m *Module) look(full bool) Look {
	var report *agent.Report
	if a := m.running(); a != nil {
		if r, ok := a.Report(); ok {
			report = &r
		}
	}
	l := m.seen(report)
	if full {
		l.Readings = m.hardware.readings()
	}
	return l
}

// seen is a look with what the agent reports.
func (m *Module) seen(r *agent.Report) Look {
	l := Look{Card: m.card(), Now: m.clock.Wall().UnixMilli(), Wound: m.clock.Wound(), Report: r}
	m.mu.Lock()
	defer m.mu.Unlock()
	l.Powered, l.Radio = m.powered, m.radio
	l.AtRest = m.hardware.atRest() && (r == nil || r.Fresh)
	return l
}

// watch is called by the agent whenever its report has changed.
func (m *Module) watch(r agent.Report) {
	if m.push != nil {
		m.push(Look{Report: &r, Wound: m.clock.Wound(), AtRest: m.hardware.atRest() && r.Fresh})
	}
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
	if d > 0 {
		m.clock.Wind(d)
	}
	if a := m.running(); a != nil {
		a.Tick()
	}
	return nil
}

// clocked begins the calendar anew after the time of the house was set.
func (m *Module) clocked() {
	if a := m.running(); a != nil {
		a.Clocks()
	}
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
