package workbench

import (
	"mime"
	"net/http"
	"net/url"

	"wirewright/job"
)

// papersBody lists what can be taken away.
type papersBody struct {
	Papers []job.Fact // name and what it is
	Plans  []job.Fact // storey and address
	Empty  []string
}

// papersPage offers the handover papers; each is made when it is asked for.
func papersPage(v *job.View, _ *http.Request) (shown, error) {
	b := papersBody{Papers: []job.Fact{
		{Name: "handover.pdf", Value: "plans, schedules, key legends, bill of materials and acceptance record, for printing"},
		{Name: "handover.xlsx", Value: "the same schedules as a workbook, for reckoning on"},
		{Name: "house.yaml", Value: "the house as a text that every later edition of this tool reads"},
	}}
	for _, s := range v.House.Storeys {
		name := s.Title
		if name == "" {
			name = string(s.ID)
		}
		b.Plans = append(b.Plans, job.Fact{Name: name, Value: "/plan/" + url.PathEscape(string(s.ID)) + "/drawing.svg"})
	}
	if len(v.House.Storeys) == 0 && len(v.House.Points) == 0 {
		b.Empty = v.Stages()[0].Next
	}
	return shown{"Papers", b}, nil
}

// paper makes one of the papers.
func (s *Server) paper(w http.ResponseWriter, r *http.Request) {
	p, err := s.job.Paper(r.Context(), r.PathValue("name"))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	deliver(w, p.Name, p.Media, p.Data)
}

// deliver sends a file to be kept.
func deliver(w http.ResponseWriter, name, media string, data []byte) {
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	_, _ = w.Write(data) // who has gone away misses nothing
}
