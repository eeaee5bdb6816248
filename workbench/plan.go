package workbench

import (
	"net/http"
	"net/url"

	"wirewright/check"
	"wirewright/house"
	"wirewright/job"
)

// planBody is the floor plan of a storey with its findings beside it.
type planBody struct {
	Storeys  []job.Ref
	Storey   house.ID
	Drawing  *drawing
	Moves    []job.Fact // addresses of other sections: closer, farther, and so on
	Findings []severe
	Empty    []string // commands that fill an empty job
}

// severe are the findings of one severity.
type severe struct {
	Severity check.Severity
	List     []check.Finding
}

func bySeverity(list []check.Finding) []severe {
	var out []severe
	for _, s := range severities {
		x := severe{Severity: s}
		for _, f := range list {
			if f.Severity == s {
				x.List = append(x.List, f)
			}
		}
		if len(x.List) > 0 {
			out = append(out, x)
		}
	}
	return out
}

// planPage shows a storey: the one that the address names, or the first.
func planPage(v *job.View, r *http.Request) (shown, error) {
	b := planBody{Findings: bySeverity(v.Findings)}
	for _, s := range v.House.Storeys {
		b.Storeys = append(b.Storeys, job.Ref{Kind: "storey", ID: s.ID, Title: s.Title})
	}
	b.Storey = house.ID(r.PathValue("storey"))
	if b.Storey == "" {
		if len(b.Storeys) == 0 {
			b.Empty = v.Stages()[0].Next
			return shown{"Floor plan", b}, nil
		}
		b.Storey = b.Storeys[0].ID
	}
	var err error
	if b.Drawing, err = drawn(v, b.Storey); err != nil {
		return shown{}, err
	}
	b.aim(r.URL.Query())
	return shown{b.Drawing.Label, b}, nil
}

// drawn is the plan of a storey for a page.
func drawn(v *job.View, storey house.ID) (*drawing, error) {
	s, err := v.Plan(storey)
	if err != nil {
		return nil, err
	}
	return readDrawing(s.SVG(false))
}

// aim shows the section that an address asks for, rings the entity that it names, and offers the sections around.
func (b *planBody) aim(q url.Values) {
	d := b.Drawing
	if at, ok := d.find(house.ID(q.Get("at"))); ok {
		d.Ring = &at
	}
	if want, ok := readBox(q.Get("show")); ok {
		d.section(want.within(d.Whole))
	}
	address := func(to box) string {
		q := url.Values{"show": {to.within(d.Whole).String()}}
		return "/plan/" + url.PathEscape(string(b.Storey)) + "?" + q.Encode()
	}
	b.Moves = []job.Fact{
		{Name: "Closer", Value: address(d.Shown.zoom(1 / zoomStep))}, {Name: "Farther", Value: address(d.Shown.zoom(zoomStep))},
		{Name: "Left", Value: address(d.Shown.move(-moveStep, 0))}, {Name: "Right", Value: address(d.Shown.move(moveStep, 0))},
		{Name: "Up", Value: address(d.Shown.move(0, -moveStep))}, {Name: "Down", Value: address(d.Shown.move(0, moveStep))},
		{Name: "Whole storey", Value: "/plan/" + url.PathEscape(string(b.Storey))},
	}
}

const (
	zoomStep = 1.6 // of the section's size
	moveStep = 0.3
)

// planFile is the plan as a drawing of its own, black on white, for other programs.
func (s *Server) planFile(w http.ResponseWriter, r *http.Request) {
	v, err := s.look(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	storey := house.ID(r.PathValue("storey"))
	drawing, err := v.Plan(storey)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	// The drawing carries its pens in a style element, which no other page may have; alone it can run nothing.
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	deliver(w, "plan-"+string(storey)+".svg", "image/svg+xml", drawing.SVG(true))
}
