package workbench

import (
	"net/http"

	"wirewright/job"
)

// testsBody lists the acceptance tests with what became of each.
type testsBody struct {
	Tests []job.PassportTest
	Next  []string
}

// testsPage shows the acceptance tests.
func testsPage(v *job.View, _ *http.Request) (shown, error) {
	return shown{"Acceptance tests", testsBody{v.TestRows(), v.Stages()[3].Next}}, nil
}
