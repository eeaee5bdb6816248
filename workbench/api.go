package workbench

import (
	"encoding/json"
	"errors"
	"net/http"

	"wirewright/check"
	"wirewright/house"
	"wirewright/internal/yamldoc"
	"wirewright/job"
)

// The answers to machines. Names stay as they are; a field may be added.

// houseAnswer is the house in the names and forms of its text.
type houseAnswer struct {
	Revision int64           `json:"revision"`
	House    json.RawMessage `json:"house"`
}

type findingsAnswer struct {
	Revision int64           `json:"revision"`
	Findings []check.Finding `json:"findings"`
}

type stagesAnswer struct {
	Revision int64           `json:"revision"`
	Stages   []job.StageView `json:"stages"`
}

// planAnswer is a plan as shapes: the sheet in mm, and every item with what it stands for.
type planAnswer struct {
	Revision int64      `json:"revision"`
	Storey   house.ID   `json:"storey"`
	Title    string     `json:"title"`
	Width    float64    `json:"width"`
	Height   float64    `json:"height"`
	Scale    float64    `json:"scale,omitempty"` // 1:scale; 0 where nothing is drawn to scale
	OriginX  float64    `json:"origin_x"`        // metres at the sheet's upper left corner
	OriginY  float64    `json:"origin_y"`
	Items    []planItem `json:"items"`
}

type planItem struct {
	Layer  string     `json:"layer"`
	Kind   string     `json:"kind,omitempty"`
	Entity string     `json:"entity,omitempty"`
	Label  string     `json:"label,omitempty"`
	Box    [4]float64 `json:"box"` // x, y, width, height on the sheet, in mm
}

// problemAnswer says why there is no answer.
type problemAnswer struct {
	Kind  job.Kind `json:"kind"`
	Error string   `json:"error"`
	Hint  string   `json:"hint,omitempty"`
}

func (s *Server) apiHouse(w http.ResponseWriter, r *http.Request) {
	s.answer(w, r, func(v *job.View) (any, error) { return houseAnswer{int64(v.Rev), yamldoc.JSON(v.House)}, nil })
}

func (s *Server) apiFindings(w http.ResponseWriter, r *http.Request) {
	s.answer(w, r, func(v *job.View) (any, error) {
		return findingsAnswer{int64(v.Rev), append([]check.Finding{}, v.Findings...)}, nil
	})
}

func (s *Server) apiStages(w http.ResponseWriter, r *http.Request) {
	s.answer(w, r, func(v *job.View) (any, error) { return stagesAnswer{int64(v.Rev), v.Stages()}, nil })
}

func (s *Server) apiPassport(w http.ResponseWriter, r *http.Request) {
	s.answer(w, r, func(v *job.View) (any, error) {
		return v.Passport(r.Context(), r.URL.Query().Get("kind"), house.ID(r.PathValue("id")))
	})
}

func (s *Server) apiPlan(w http.ResponseWriter, r *http.Request) {
	s.answer(w, r, func(v *job.View) (any, error) {
		storey := house.ID(r.PathValue("storey"))
		sheet, err := v.Plan(storey)
		if err != nil {
			return nil, err
		}
		d, err := readDrawing(sheet.SVG(false))
		if err != nil {
			return nil, err
		}
		a := planAnswer{Revision: int64(v.Rev), Storey: storey, Title: sheet.Title, Width: sheet.Width, Height: sheet.Height, Items: []planItem{}}
		if m := sheet.Model; m != nil {
			a.Scale, a.OriginX, a.OriginY = m.Scale, m.OriginX, m.OriginY
		}
		for i, l := range d.Layers {
			for _, it := range l.Items {
				b := it.Box
				a.Items = append(a.Items, planItem{layerName(d.Layers[i].Class), it.Kind, string(it.Entity), it.Label, [4]float64{b.X, b.Y, b.W, b.H}})
			}
		}
		return a, nil
	})
}

// answer sends a value as JSON, or says why it cannot.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, what func(*job.View) (any, error)) {
	v, err := s.look(r.Context())
	status := http.StatusOK
	var value any
	if err == nil {
		value, err = what(v)
	}
	if err != nil {
		p := problemAnswer{Kind: job.KindOf(err), Error: err.Error()}
		var own *job.Error
		if errors.As(err, &own) {
			p.Hint = own.Hint
		}
		status, value = statusOf(err), p
	}
	b, err := json.Marshal(value)
	if err != nil {
		http.Error(w, "the answer cannot be written: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(append(b, '\n')) // who has gone away misses nothing
}
