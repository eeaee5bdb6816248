package workbench

import (
	"encoding/json"
	"net/http"
	"testing"

	"wirewright/house"
)

func decode(t *testing.T, d *desk, address string, into any) {
	t.Helper()
	status, body, header := d.get(address)
	if status != http.StatusOK || header.Get("Content-Type") != "application/json" {
		t.Fatalf("%s answers %d as %s", address, status, header.Get("Content-Type"))
	}
	if err := json.Unmarshal([]byte(body), into); err != nil {
		t.Fatalf("%s: %v", address, err)
	}
}

func TestHouseForMachinesIsTheHouse(t *testing.T) {
	j := example(t)
	var a struct {
		Revision int64           `json:"revision"`
		House    json.RawMessage `json:"house"`
	}
	decode(t, open(t, j), "/api/house", &a)
	got, err := house.Read("answer", a.House) // JSON is YAML
	if err != nil {
		t.Fatal(err)
	}
	want, rev, err := j.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(house.Diff(want, got)) > 0 || int64(rev) != a.Revision {
		t.Errorf("revision %d differs from revision %d by %d changes", a.Revision, rev, len(house.Diff(want, got)))
	}
}

func TestPlanForMachines(t *testing.T) {
	var a planAnswer
	d := open(t, example(t))
	decode(t, d, "/api/plan/ground", &a)
	if a.Scale == 0 || a.Width <= 0 || a.Storey != "ground" {
		t.Errorf("the plan says %+v", a)
	}
	found := false
	for _, i := range a.Items {
		if i.Entity == "hall.ceiling" {
			// The lamp stands at 5.00 m, 2.91 m in the house text: the sheet maps back to it.
			x := a.OriginX + (i.Box[0]+i.Box[2]/2)*a.Scale/1000
			y := a.OriginY - (i.Box[1]+i.Box[3]/2)*a.Scale/1000
			found = i.Kind == "point" && i.Layer == "points" && x > 4.9 && x < 5.1 && y > 2.8 && y < 3.0
		}
	}
	if !found {
		t.Error("the lamp is not where the house says")
	}
}

func TestFindingsAndStagesForMachines(t *testing.T) {
	d := open(t, example(t))
	var f findingsAnswer
	decode(t, d, "/api/findings", &f)
	var s stagesAnswer
	decode(t, d, "/api/stages", &s)
	n := 0
	for _, x := range s.Stages {
		n += len(x.Findings)
	}
	if len(s.Stages) != 7 || n != len(f.Findings) || n == 0 {
		t.Errorf("%d stages with %d findings of %d", len(s.Stages), n, len(f.Findings))
	}
	var p struct {
		Kind    string            `json:"kind"`
		MovedBy []json.RawMessage `json:"moved_by"`
	}
	decode(t, d, "/api/passport/hall.ceiling", &p)
	if p.Kind != "point" || len(p.MovedBy) == 0 {
		t.Errorf("the passport says %+v", p)
	}
}

func TestEmptyJobForMachines(t *testing.T) {
	d := open(t, newJob(t, nil, ""))
	var f findingsAnswer
	decode(t, d, "/api/findings", &f)
	if f.Findings == nil || len(f.Findings) != 0 {
		t.Errorf("no findings are %v, not an empty list", f.Findings)
	}
	status, body, _ := d.get("/api/plan/ground")
	var p problemAnswer
	if err := json.Unmarshal([]byte(body), &p); err != nil || status != http.StatusNotFound || p.Kind != "missing" || p.Error == "" {
		t.Errorf("a plan that is not there answers %d, %s", status, body)
	}
}
