package workbench

import (
	"errors"
	"net/http"

	"wirewright/internal/problem"
	"wirewright/job"
)

// stageBody is one stage: how far it has come, what is open, what takes it further.
type stageBody struct {
	job.StageView
	Groups []severe
	Views  []job.Fact // pages that belong to it
}

// errNoStage says that an address names a stage that there is not.
var errNoStage = errors.New("a job has no such stage")

// viewsOf are the pages that belong to each stage.
var viewsOf = map[string][]job.Fact{
	"survey":     {{Name: "Floor plan", Value: "/"}, {Name: "Wishes", Value: "/wishes"}},
	"design":     {{Name: "Points schedule", Value: "/points"}, {Name: "Modules and channels", Value: "/modules"}},
	"programme":  {{Name: "Rules", Value: "/rules"}, {Name: "Keys", Value: "/keys"}},
	"rehearse":   {{Name: "Acceptance tests", Value: "/tests"}},
	"commission": {{Name: "Modules and channels", Value: "/modules"}, {Name: "Acceptance tests", Value: "/tests"}},
	"handover":   {{Name: "Papers", Value: "/papers"}},
	"care":       {{Name: "Log", Value: "/log"}},
}

// stagePage shows one of the seven stages.
func stagePage(v *job.View, r *http.Request) (shown, error) {
	var names []string
	for _, s := range v.Stages() {
		if s.Name == r.PathValue("name") {
			return shown{s.Title, stageBody{s, bySeverity(s.Findings), viewsOf[s.Name]}}, nil
		}
		names = append(names, s.Name)
	}
	return shown{}, &job.Error{Kind: job.Missing, Subject: r.PathValue("name"), Err: errNoStage, Hint: problem.DidYouMean(r.PathValue("name"), names)}
}
