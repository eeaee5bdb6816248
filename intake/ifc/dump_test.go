package ifc

import (
	"fmt"
	"os"
	"testing"
	"time"

	"wirewright/house"
)

func TestDump(t *testing.T) {
	f := os.Getenv("DUMP")
	if f == "" {
		t.Skip()
	}
	data, _ := os.ReadFile(f)
	t0 := time.Now()
	r, err := Import(f, data, Options{})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(time.Since(t0))
	fmt.Printf("%+v\n%+v\n", r.Counts, r.House.Site)
	for _, s := range r.House.Storeys {
		fmt.Println(s)
	}
	for i, s := range r.House.Rooms {
		fmt.Printf("%s %q %q use=%s st=%s pts=%d holes=%d area=%.3f stated=%.3f floor=%v h=%v %s\n", s.ID, s.Number, s.Title, s.Use, s.Storey, len(s.Outline), len(s.Holes), area(s.Outline), s.Area, s.Floor, s.Height, s.Note)
		_ = i
	}
	for _, w := range r.House.Walls {
		fmt.Printf("%s %v-%v t=%v h=%v base=%v ext=%v %v %s\n", w.ID, w.From, w.To, w.Thickness, w.Height, w.Base, w.External, w.Layers, w.Note)
	}
	for _, o := range r.House.Openings {
		fmt.Printf("%s %s wall=%s %v-%v sill=%v w=%v h=%v hinge=%s rooms=%v %s\n", o.ID, o.Kind, o.Wall, o.From, o.To, o.Sill, o.Width, o.Height, o.Hinge, o.Rooms, o.Note)
	}
	for _, s := range r.House.Slabs {
		fmt.Printf("%s pts=%d holes=%d top=%v %v %s\n", s.ID, len(s.Outline), len(s.Holes), s.Top, s.Layers, s.Note)
	}
	for _, s := range r.Summary() {
		fmt.Println(s)
	}
	for _, s := range r.Mapped {
		fmt.Println(s)
	}
}

func area(p []house.XY) float64 {
	q := make(polygon, len(p))
	for i := range p {
		q[i] = point(p[i])
	}
	return q.area()
}
