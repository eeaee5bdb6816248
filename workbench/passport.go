package workbench

import (
	"net/http"
	"net/url"

	"wirewright/house"
	"wirewright/job"
)

// passportBody is a passport with the piece of plan that shows where it is.
type passportBody struct {
	job.Passport
	Drawing *drawing
	OnPlan  string // address of the plan with the entity ringed; empty where no plan shows it
}

// passportPage shows everything about one entity.
func passportPage(v *job.View, r *http.Request) (shown, error) {
	p, err := v.Passport(r.Context(), r.URL.Query().Get("kind"), house.ID(r.PathValue("id")))
	if err != nil {
		return shown{}, err
	}
	b := passportBody{Passport: p}
	if p.Storey != "" {
		if err := b.locate(v); err != nil {
			return shown{}, err
		}
	}
	return shown{heading(p), b}, nil
}

func heading(p job.Passport) string {
	if p.Title != "" {
		return p.Title
	}
	return string(p.ID)
}

// locate cuts out the piece of plan around the entity; a module is where the first of its points, or its room, is.
func (b *passportBody) locate(v *job.View) error {
	d, err := drawn(v, b.Storey)
	if err != nil {
		return err
	}
	q := url.Values{}
	at, ok := d.find(b.ID)
	for _, f := range b.Facts {
		if !ok && f.Of != nil && (f.Of.Kind == "point" || f.Of.Kind == "room") {
			at, ok = d.find(f.Of.ID)
		}
	}
	if b.Kind == "storey" {
		at, ok = d.Whole, true
	}
	if !ok {
		return nil
	}
	if b.Kind == "point" {
		d.Ring = &at
		q.Set("at", string(b.ID))
	}
	d.Still = true
	d.Label = "Where it is: " + d.Label
	d.section(around(at).within(d.Whole))
	b.Drawing, b.OnPlan = d, "/plan/"+url.PathEscape(string(b.Storey))
	if len(q) > 0 {
		b.OnPlan += "?" + q.Encode()
	}
	return nil
}

// around is a section of fixed proportions that shows an entity with what is near it.
func around(at box) box {
	const wide, high, rim = 60, 40, 8 // mm
	w := max(wide, at.W+rim, (at.H+rim)*wide/high)
	h := w * high / wide
	return box{at.X + at.W/2 - w/2, at.Y + at.H/2 - h/2, w, h}
}
