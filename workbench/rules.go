package workbench

import (
	"net/http"

	"wirewright/job"
)

// rulesBody is the behaviour text with where each of its rules lives.
type rulesBody struct {
	Lines    []job.TextLine
	Unplaced []job.Fact // points that no program knows, with the reason
	Next     []string
}

// rulesPage shows the behaviour text line by line.
func rulesPage(v *job.View, _ *http.Request) (shown, error) {
	b := rulesBody{Lines: v.TextLines(), Next: v.Stages()[2].Next}
	if v.Compiled != nil {
		for _, u := range v.Compiled.Unplaced {
			b.Unplaced = append(b.Unplaced, job.Fact{Name: string(u.Point), Value: u.Reason, Of: &job.Ref{Kind: "point", ID: u.Point}})
		}
	}
	return shown{"Rules", b}, nil
}
