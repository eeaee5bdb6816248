package workbench

import (
	"net/http"

	"wirewright/job"
)

// logPage shows the revisions of the job, the newest first.
func logPage(v *job.View, r *http.Request) (shown, error) {
	list, err := v.Revisions(r.Context())
	return shown{"Log", list}, err
}
