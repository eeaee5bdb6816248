package job

import (
	"context"
	"errors"
	"sync"
	"time"

	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/check"
	"wirewright/handover"
	"wirewright/handover/plan"
	"wirewright/handover/scene"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/store"
)

// View is what a screen shows of one revision: the house and everything that follows from it, derived once and never
// changed afterwards, so that many may read it at a time.
type View struct {
	Rev      store.Rev
	Who      string    // who made the revision
	When     time.Time // when, in the time zone of the house
	House    *house.House
	Index    *house.Index
	Findings []check.Finding
	Names    map[house.ID]string  // reference designations (IEC 81346)
	Compiled *behaviour.Compiled  // without the rules that have mistakes
	Problems problem.List         // mistakes of the behaviour text
	Legends  []handover.KeyLegend // what each key does, keypad by keypad in the order of the house
	Tests    []accept.Test        // acceptance tests: made of the rules, then written by hand
	Rehearse *Trial               // nil where this revision was not rehearsed
	Try      *Trial               // the same on site

	touching map[string][]rulePart     // by name of a point or mode: the rules that read or move it
	outcomes map[string]accept.Outcome // by stage and name of a test
	programs string                    // names the programs: a trial of others does not hold

	job    *Job
	sheets *sheets
}

// sheets keeps the plans that were drawn of a revision: to place the names of a large storey takes a tenth of a second.
type sheets struct {
	mu    sync.Mutex
	drawn map[house.ID]*scene.Scene
}

// rulePart is a rule's part in a point.
type rulePart struct {
	rule   *behaviour.RuleInfo
	moves  bool
	reads  bool
	onKeys []int // of a keypad: which of its keys the rule listens to
}

// View derives what a screen shows of the newest revision. A view that was made before may be given and is used again
// where the job has not changed since; nothing is written to the job.
func (j *Job) View(ctx context.Context, before *View) (*View, error) {
	rev, err := j.store.Newest(ctx)
	if err != nil {
		return nil, err
	}
	v := before
	if v == nil || v.Rev != rev || v.job != j {
		if v, err = j.derive(ctx, rev); err != nil {
			return nil, err
		}
	}
	return j.tried(ctx, v)
}

// derive makes a view of a revision, trials apart.
func (j *Job) derive(ctx context.Context, rev store.Rev) (*View, error) {
	h, err := j.store.House(ctx, rev)
	if err != nil {
		return nil, err
	}
	v := &View{Rev: rev, House: h, Index: house.NewIndex(h), Names: handover.Designations(h), job: j, sheets: &sheets{drawn: map[house.ID]*scene.Scene{}}}
	v.Findings, v.Compiled, v.Problems = j.examine(h)
	if v.Compiled != nil {
		v.programs = programsDigest(v.Compiled)
		v.relate()
	}
	return v, j.dated(ctx, v)
}

// relate takes up what the compiled behaviour says about points, keys and tests.
func (v *View) relate() {
	for i := range v.House.Points {
		if p := v.House.Points[i]; p.Kind == house.Keypad {
			v.Legends = append(v.Legends, legend(v.Compiled, p)...)
		}
	}
	if list, err := tests(v.Compiled); err == nil { // its mistakes are told where tests are run
		v.Tests = list
	}
	v.touching = map[string][]rulePart{}
	for i := range v.Compiled.Rules {
		v.touch(&v.Compiled.Rules[i])
	}
}

// touch enters one rule under every point and mode that it reads or moves; a key under its keypad.
func (v *View) touch(r *behaviour.RuleInfo) {
	part := func(name string) *rulePart {
		point, key := v.owner(name)
		list := v.touching[point]
		if n := len(list); n == 0 || list[n-1].rule != r {
			list = append(list, rulePart{rule: r})
			v.touching[point] = list
		}
		p := &list[len(list)-1]
		if key > 0 {
			p.onKeys = append(p.onKeys, key)
		}
		return p
	}
	for _, name := range r.Reads {
		part(name).reads = true
	}
	for _, name := range r.Writes {
		part(name).moves = true
	}
}

// owner is the point of a slot's name, and which of its keys it is; for a mode, the name itself.
func (v *View) owner(name string) (string, int) {
	if t, ok := v.Compiled.Thing(name); ok && t.Point != "" {
		return string(t.Point), t.Key
	}
	return name, 0
}

// dated adds who made the revision and when.
func (j *Job) dated(ctx context.Context, v *View) error {
	log, err := j.store.LogAfter(ctx, max(v.Rev-1, 0))
	if err != nil || len(log) == 0 || v.Rev == 0 {
		return err
	}
	last := log[len(log)-1].Meta
	v.Who, v.When = last.Who, inZone(last.When, v.House)
	return nil
}

// inZone turns a moment into the local time of the house, UTC where the house names no zone.
func inZone(t time.Time, h *house.House) time.Time {
	if zone, err := time.LoadLocation(h.Site.Zone); err == nil {
		return t.In(zone)
	}
	return t.UTC()
}

// tried adds the trials to a copy of the view: they may be made anew while the revision stays, and one of an earlier
// revision still holds as long as the programs are the same.
func (j *Job) tried(ctx context.Context, v *View) (*View, error) {
	out := *v
	out.Rehearse, out.Try, out.outcomes = nil, nil, map[string]accept.Outcome{}
	for stage, into := range map[string]**Trial{"rehearse": &out.Rehearse, "try": &out.Try} {
		var t Trial
		ok, err := j.latest(ctx, stage, v.Rev, &t)
		if err != nil {
			return nil, err
		}
		if ok && v.Compiled != nil && t.Programs == v.programs {
			*into = &t
			for _, r := range t.Results {
				out.outcomes[stage+" "+r.Test] = r.Outcome
			}
		}
	}
	return &out, nil
}

// outcome is what became of a test at this revision.
func (v *View) outcome(stage, test string) string {
	return or(string(v.outcomes[stage+" "+test]), string(accept.NotTried))
}

const (
	sheetWidth  = 170 // mm: at the width of a usual screen a name on such a sheet is as large as the text beside it
	sheetHeight = 115 // mm
	sheetScale  = 150 // 1:150 and not smaller: beyond it symbols crowd, and a larger sheet to move about on is better
)

// Plan draws a storey with its findings in a size for the screen. The scene is shared: nobody changes it.
func (v *View) Plan(storey house.ID) (*scene.Scene, error) {
	if v.Index.Storey(storey) == nil {
		return nil, &Error{Kind: Missing, Subject: string(storey), Err: errNoStorey, Hint: nearest(string(storey), v.storeys())}
	}
	v.sheets.mu.Lock()
	defer v.sheets.mu.Unlock()
	s := v.sheets.drawn[storey]
	if s == nil {
		s = v.draw(storey)
		v.sheets.drawn[storey] = s
	}
	return s, nil
}

func (v *View) draw(storey house.ID) *scene.Scene {
	opt := plan.Options{Width: sheetWidth, Height: sheetHeight, Points: true, Names: true, Marks: handover.Marks(v.Findings)}
	s := plan.Draw(v.House, storey, opt)
	if s.Model != nil && s.Model.Scale > sheetScale {
		opt.Scale, opt.Width, opt.Height = sheetScale, 0, 0
		s = plan.Draw(v.House, storey, opt)
	}
	return s
}

func (v *View) storeys() []string {
	list := make([]string, len(v.House.Storeys))
	for i, s := range v.House.Storeys {
		list[i] = string(s.ID)
	}
	return list
}

func nearest(name string, names []string) string { return problem.DidYouMean(name, names) }

// Revisions lists the revisions of the job, the newest first, in the local time of the house.
func (v *View) Revisions(ctx context.Context) ([]store.Entry, error) {
	list, err := v.job.store.Log(ctx)
	if err != nil {
		return nil, err
	}
	newest := make([]store.Entry, 0, len(list))
	for i := len(list) - 1; i >= 0; i-- {
		e := list[i]
		e.Meta.When = inZone(e.Meta.When, v.House)
		newest = append(newest, e)
	}
	return newest, nil
}

// Paper is one file of the handover, made on request.
type Paper struct {
	Name  string
	Media string // media type (RFC 6838)
	Data  []byte
}

// errNoPaper says that a paper was asked for that there is not.
var errNoPaper = errors.New("there is no such paper")

// Paper makes one of the handover papers of the newest revision: handover.pdf, handover.xlsx, house.yaml.
func (j *Job) Paper(ctx context.Context, name string) (Paper, error) {
	p, _, err := j.Pack(ctx)
	if err != nil {
		return Paper{}, err
	}
	switch name {
	case "handover.pdf":
		b, err := handover.PDF(p)
		return Paper{name, "application/pdf", b}, err
	case "handover.xlsx":
		b, err := handover.Workbook(p)
		return Paper{name, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", b}, err
	case "house.yaml":
		return Paper{name, "application/yaml", house.Write(p.House)}, nil
	}
	return Paper{}, &Error{Kind: Missing, Subject: name, Err: errNoPaper, Hint: nearest(name, []string{"handover.pdf", "handover.xlsx", "house.yaml"})}
}
