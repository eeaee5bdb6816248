package job

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/handover"
	"wirewright/handover/plan"
	"wirewright/house"
	"wirewright/store"
)

// Handover is the report of the handover pack.
type Handover struct {
	Rev   store.Rev `json:"revision"`
	Dir   string    `json:"folder"`
	Files []string  `json:"files"`
}

// Lines implements Report.
func (h Handover) Lines() []string {
	list := []string{fmt.Sprintf("papers of revision %d in %s:", h.Rev, h.Dir)}
	for _, f := range h.Files {
		list = append(list, "  "+f)
	}
	return list
}

// Pack gathers what the papers of the newest revision are made of.
func (j *Job) Pack(ctx context.Context) (handover.Pack, store.Rev, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return handover.Pack{}, 0, err
	}
	findings, c, problems := j.examine(h)
	p := handover.Pack{House: h, Catalogue: j.cat, Revision: fmt.Sprint(rev), Digest: digest(h), Prepared: j.opt.Who, Findings: findings}
	log, err := j.store.LogAfter(ctx, max(rev-1, 0))
	if err != nil {
		return p, rev, err
	}
	if len(log) > 0 {
		p.Date = inZone(log[len(log)-1].Meta.When, h)
	}
	var a Allotment
	if ok, err := j.load(ctx, "allot", rev, &a); err == nil && ok && a.Result != nil {
		p.Notes = append(p.Notes, a.Result.Notes...)
	}
	if len(problems) > 0 {
		return p, rev, nil // the findings say what is wrong with the text
	}
	j.behaviourOf(ctx, &p, c, rev)
	return p, rev, nil
}

// behaviourOf adds rules, key legends and tests with what became of them.
func (j *Job) behaviourOf(ctx context.Context, p *handover.Pack, c *behaviour.Compiled, rev store.Rev) {
	for _, r := range c.Rules {
		network := ""
		if len(r.Crosses) > 0 {
			network = "router and broker"
		}
		p.Rules = append(p.Rules, handover.Rule{Name: r.Name, Text: r.Text, Controller: r.Controller, Network: network, Needs: r.Crosses, Wishes: r.Wishes})
	}
	for _, point := range c.House.Points {
		if point.Kind == house.Keypad {
			p.Keys = append(p.Keys, legend(c, point)...)
		}
	}
	list, err := tests(c)
	if err != nil {
		return // told by the findings
	}
	results, programs := map[string][]handover.TestResult{}, programsDigest(c)
	for _, stage := range []string{"rehearse", "try"} {
		var t Trial
		if ok, err := j.latest(ctx, stage, rev, &t); err == nil && ok && t.Programs == programs {
			for _, r := range t.Results {
				results[r.Test] = append(results[r.Test], handover.TestResult{Where: t.Where, When: t.When, Passed: r.Outcome == accept.Passed, Tried: r.Outcome != accept.NotTried, Detail: r.Text})
			}
		}
	}
	for _, t := range list {
		p.Tests = append(p.Tests, handover.Test{Name: t.Name, Rule: t.Rule, Wishes: t.Wishes, Steps: stepLines(t), Results: results[t.Name]})
	}
}

func stepLines(t accept.Test) []string {
	list := make([]string, len(t.Steps))
	for i := range t.Steps {
		list[i] = t.Steps[i].String()
	}
	return list
}

// legend says in plain words what each key of a keypad does.
func legend(c *behaviour.Compiled, p house.Point) []handover.KeyLegend {
	list := make([]handover.KeyLegend, len(p.Keys))
	for i, caption := range p.Keys {
		list[i] = handover.KeyLegend{Point: p.ID, Key: i + 1, Caption: caption}
	}
	for _, l := range c.KeyLegend(p.ID) {
		if l.Key >= 1 && l.Key <= len(list) {
			list[l.Key-1].Lines = append(list[l.Key-1].Lines, l.Gesture+": "+l.Text)
			list[l.Key-1].Rules = append(list[l.Key-1].Rules, l.Rule)
		}
	}
	return list
}

// WriteHandover writes the handover pack into a folder: papers, workbook, plans and the house text.
func (j *Job) WriteHandover(ctx context.Context, dir string) (Handover, error) {
	p, rev, err := j.Pack(ctx)
	if err != nil {
		return Handover{}, err
	}
	report := Handover{Rev: rev, Dir: dir}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return report, &Error{Kind: Failed, Subject: dir, Err: err, Hint: "choose a folder that you may write"}
	}
	put := func(name string, b []byte, err error) error {
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), b, 0o644)
		}
		if err != nil {
			return &Error{Kind: Failed, Subject: filepath.Join(dir, name), Err: err}
		}
		report.Files = append(report.Files, name)
		j.progress("handover", len(report.Files), 0, "%s", name)
		return nil
	}
	papers, err := handover.PDF(p)
	if err := put("handover.pdf", papers, err); err != nil {
		return report, err
	}
	book, err := handover.Workbook(p)
	if err := put("handover.xlsx", book, err); err != nil {
		return report, err
	}
	for _, s := range p.House.Storeys {
		drawing := plan.Draw(p.House, s.ID, plan.Options{Points: true, Names: true})
		name := "plan-" + string(s.ID)
		if err := put(name+".svg", drawing.SVG(true), nil); err != nil {
			return report, err
		}
		if err := put(name+".dxf", drawing.DXF(), nil); err != nil {
			return report, err
		}
	}
	if hosts := handover.Reservations(p.House); hosts != nil {
		if err := put("addresses.conf", hosts, nil); err != nil {
			return report, err
		}
	}
	return report, put("house.yaml", house.Write(p.House), nil)
}
