package workbench

import (
	"net/http"

	"wirewright/job"
)

// wishesPage shows what the client asked for, and what fulfils it.
func wishesPage(v *job.View, _ *http.Request) (shown, error) {
	return shown{"Wishes", v.WishRows()}, nil
}
