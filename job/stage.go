package job

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/behaviour/accept"
	"wirewright/check"
)

// StageView is one of the seven stages of a job, as far as it has come.
type StageView struct {
	Name     string          `json:"name"`     // one word for addresses and machines
	Title    string          `json:"title"`    //
	What     string          `json:"what"`     // what is done in it, in a sentence
	State    string          `json:"state"`    // how far it has come, in a few words
	Begun    bool            `json:"begun"`    //
	Findings []check.Finding `json:"findings"` // open, worst first
	Open     int             `json:"open"`     // findings that are no remarks, and tests that failed
	Next     []string        `json:"next"`     // commands that take it further
}

// surveySlugs are the findings that only a look at the house can answer, so that they belong to the survey.
var surveySlugs = map[string]bool{
	"box/unknown": true, "box/no-neutral": true, "box/too-shallow": true, "channel/load-unknown": true, "channel/inrush-unknown": true,
	"motor/no-travel": true, "circuit/none": true, "circuit/no-rating": true, "bus/length-unknown": true, "board/no-size": true,
	"circuit/not-checked": true, "bus/no-cable": true, "radio/unknown": true, "board/heat-unknown": true,
}

// StageOf names the stage that answers a finding.
func StageOf(f check.Finding) string {
	topic, _, _ := strings.Cut(f.Slug, "/")
	switch {
	case surveySlugs[f.Slug]:
		return "survey"
	case f.Kind == "text", slices.Contains([]string{"behaviour", "rule", "mode", "key", "wish"}, topic):
		return "programme"
	case topic == "hardware":
		return "commission"
	}
	return "design"
}

// Stages says how far each of the seven stages has come.
func (v *View) Stages() []StageView {
	list := []StageView{
		{Name: "survey", Title: "Survey", What: "The rooms, their walls, what is wired and what the client wishes."},
		{Name: "design", Title: "Design", What: "Points, the modules and channels that they land on, circuits, lines and addresses."},
		{Name: "programme", Title: "Programme", What: "What every key, sensor and clock does."},
		{Name: "rehearse", Title: "Rehearse", What: "The house tried in a simulation, before it exists."},
		{Name: "commission", Title: "Commission", What: "Every module enrolled, loaded, read back and tried on site."},
		{Name: "handover", Title: "Hand over", What: "The papers for the owner and for the next electrician."},
		{Name: "care", Title: "Look after", What: "Changes after the handover, and why an output changed."},
	}
	for i := range list {
		s := &list[i]
		for _, f := range v.Findings {
			if StageOf(f) == s.Name {
				s.Findings = append(s.Findings, f)
				s.Open += btoi(f.Severity != check.Remark)
			}
		}
		v.stateOf(s)
	}
	return list
}

// stateOf fills in how far a stage has come and what takes it further.
func (v *View) stateOf(s *StageView) {
	path := shellWord(v.job.Path())
	h := v.House
	switch s.Name {
	case "survey":
		s.Begun = len(h.Storeys) > 0
		s.State = plural(len(h.Storeys), "storey", "storeys") + ", " + plural(len(h.Rooms), "room", "rooms")
		s.Next = []string{"wirewright import " + path + " MODEL.ifc", "wirewright import " + path + " house.yaml", "wirewright furnish " + path}
	case "design":
		s.Begun = len(h.Points) > 0
		s.State = v.landed()
		s.Next = []string{"wirewright allot " + path, "wirewright check " + path}
	case "programme":
		s.Begun = v.Compiled != nil && len(v.Compiled.Rules) > 0
		s.State = v.ruled()
		s.Next = []string{"wirewright write " + path + " --behaviour FILE", "wirewright programme " + path}
	case "rehearse":
		s.Begun, s.State = trialState(v.Rehearse, "not rehearsed yet")
		s.Open += failedOf(v.Rehearse)
		s.Next = []string{"wirewright rehearse " + path}
	case "commission":
		s.Begun, s.State = trialState(v.Try, v.enrolled())
		s.Open += failedOf(v.Try)
		s.Next = []string{"wirewright commission " + path}
	case "handover":
		s.Begun, s.State = len(h.Points) > 0, fmt.Sprintf("papers of revision %d", v.Rev)
		s.Next = []string{"wirewright handover " + path + " FOLDER"}
	case "care":
		s.Begun, s.State = v.Rev > 0, plural(int(v.Rev), "revision", "revisions")
		s.Next = []string{"wirewright log " + path}
	}
}

// shellWord is a path as one writes it in a command: in quotation marks where it needs them.
func shellWord(path string) string {
	if strings.Trim(strings.ToLower(path), "abcdefghijklmnopqrstuvwxyz0123456789/._-") == "" && path != "" {
		return path
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}

// landed says how many points have landed.
func (v *View) landed() string {
	open := 0
	for i := range v.House.Points {
		open += btoi(len(v.Index.LandingsOf(v.House.Points[i].ID)) == 0)
	}
	points := plural(len(v.House.Points), "point", "points")
	switch {
	case len(v.House.Points) == 0:
		return "no points yet"
	case open == 0:
		return points + ", all landed"
	}
	return fmt.Sprintf("%s, %d not landed", points, open)
}

func (v *View) ruled() string {
	switch {
	case len(v.Problems) > 0:
		return plural(len(v.Problems), "mistake in the text", "mistakes in the text")
	case v.Compiled == nil || len(v.Compiled.Rules) == 0:
		return "no rules yet"
	}
	return plural(len(v.Compiled.Rules), "rule", "rules") + ", " + plural(len(v.Tests), "test", "tests")
}

func (v *View) enrolled() string {
	n := 0
	for i := range v.House.Modules {
		n += btoi(v.House.Modules[i].Hardware != "")
	}
	switch {
	case len(v.House.Modules) == 0:
		return "no modules yet"
	case n == 0:
		return "no module enrolled"
	}
	return fmt.Sprintf("%d of %s enrolled", n, plural(len(v.House.Modules), "module", "modules"))
}

// trialState says what became of a trial.
func trialState(t *Trial, none string) (bool, string) {
	if t == nil {
		return false, none
	}
	passed, all := t.Count(accept.Passed), len(t.Results)
	if failed := failedOf(t); failed > 0 {
		return true, fmt.Sprintf("%d of %s failed", failed, plural(all, "test", "tests"))
	}
	if passed == all {
		return true, plural(all, "test", "tests") + " passed"
	}
	return true, fmt.Sprintf("%d of %s passed", passed, plural(all, "test", "tests"))
}

func failedOf(t *Trial) int {
	if t == nil {
		return 0
	}
	return t.Count(accept.Failed) + t.Faults
}
