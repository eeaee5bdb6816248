package job

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"wirewright/examples"
	"wirewright/house"
)

// Stage is one stage of the demo with what it found and how long it took.
type Stage struct {
	Name   string  `json:"stage"`
	Report Report  `json:"report"`
	Took   float64 `json:"seconds"`
	Good   bool    `json:"good"`
}

// Demo makes the example house in a folder and takes it through the whole job: survey, design, programme, rehearsal,
// commissioning on a virtual site, handover. Each stage is told as it ends. The job stays open for whoever goes on.
func Demo(ctx context.Context, dir string, opt Options, tell func(Stage)) (*Job, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, &Error{Kind: Failed, Subject: dir, Err: err}
	}
	j, err := Create(ctx, filepath.Join(dir, "weirhouse.wirewright"), opt)
	if err != nil {
		return nil, err
	}
	for _, s := range demoStages(dir) {
		begun := j.opt.Now()
		report, good, err := s.run(ctx, j)
		if err != nil {
			return nil, errors.Join(fmt.Errorf("%s: %w", s.name, err), j.Close())
		}
		tell(Stage{s.name, report, float64(j.opt.Now().Sub(begun).Milliseconds()) / 1000, good})
	}
	return j, nil
}

// demoStates bounds the proof of the demo, so that the whole demo stays under half a minute.
const demoStates = 4000

type demoStage struct {
	name string
	run  func(context.Context, *Job) (Report, bool, error)
}

func demoStages(dir string) []demoStage {
	return []demoStage{
		{"survey", demoSurvey},
		{"design: allotment", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.Allot(ctx, 0)
			return r, err == nil && len(r.Result.Open) == 0, err
		}},
		{"design: checks", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.Check(ctx)
			return r, !r.Bad(), err
		}},
		{"programme", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.Programme(ctx)
			return r, err == nil && len(r.Unplaced) == 0, err
		}},
		{"prove", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.Prove(ctx, ProveOptions{States: demoStates})
			return r, r.Good(), err
		}},
		{"rehearse", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Days: 1})
			return r, r.Good(), err
		}},
		{"commission", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.CommissionVirtual(ctx, CommissionOptions{Key: Keyhole{File: filepath.Join(dir, "weirhouse.key")}})
			return r, r.Good(), err
		}},
		{"hand over", func(ctx context.Context, j *Job) (Report, bool, error) {
			r, err := j.WriteHandover(ctx, filepath.Join(dir, "handover"))
			return r, err == nil, err
		}},
	}
}

// Surveyed is the report of the demo's survey.
type Surveyed struct {
	Storeys, Rooms, Points, Wishes int
}

// Lines implements Report.
func (s Surveyed) Lines() []string {
	return []string{fmt.Sprintf("House at the weir: %s, %s, %s, %s", plural(s.Storeys, "storey", "storeys"), plural(s.Rooms, "room", "rooms"), plural(s.Points, "point", "points"), plural(s.Wishes, "wish", "wishes"))}
}

func demoSurvey(ctx context.Context, j *Job) (Report, bool, error) {
	h, err := house.Read("house.yaml", examples.WeirHouse)
	if err != nil {
		return nil, false, err
	}
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey of the house at the weir"); err != nil {
		return nil, false, err
	}
	_, err = j.SetTexts(ctx, examples.WeirBehaviour, examples.WeirAcceptance, "write down what the client wishes")
	return Surveyed{len(h.Storeys), len(h.Rooms), len(h.Points), len(h.Wishes)}, err == nil, err
}
