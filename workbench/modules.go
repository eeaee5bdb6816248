package workbench

import (
	"net/http"

	"wirewright/job"
)

// modulesBody is the module and channel schedule.
type modulesBody struct {
	Modules []job.ModuleRow
	Next    []string // commands that fill it
}

// modulesPage shows every module with its channels.
func modulesPage(v *job.View, _ *http.Request) (shown, error) {
	return shown{"Modules and channels", modulesBody{v.ModuleRows(), v.Stages()[1].Next}}, nil
}
