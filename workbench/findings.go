package workbench

import (
	"net/http"
	"net/url"
	"strconv"

	"wirewright/check"
	"wirewright/job"
)

// findingsMost is how many findings a page shows; the worst stand first, and what mends them uncovers the rest.
const findingsMost = 500

// findingsBody lists findings by severity, of one severity or stage where the address says so.
type findingsBody struct {
	Groups  []severe
	Count   int
	Cut     int // how many more there are than are shown
	Filters []filter
}

// filter is a choice of findings that an address shows.
type filter struct {
	Title string
	To    string
	Now   bool
}

// findingsPage shows what the checks say, worst first, each with its remedy.
func findingsPage(v *job.View, r *http.Request) (shown, error) {
	severity, stage := r.URL.Query().Get("severity"), r.URL.Query().Get("stage")
	b := findingsBody{Filters: []filter{{"All " + strconv.Itoa(len(v.Findings)), "/findings", severity == "" && stage == ""}}}
	for _, x := range bySeverity(v.Findings) {
		b.add(string(x.Severity)+"s", len(x.List), url.Values{"severity": {string(x.Severity)}}, severity == string(x.Severity))
	}
	for _, s := range v.Stages() {
		if len(s.Findings) > 0 {
			b.add("for "+s.Title, len(s.Findings), url.Values{"stage": {s.Name}}, stage == s.Name)
		}
	}
	var list []check.Finding
	for _, f := range v.Findings {
		if (severity == "" || string(f.Severity) == severity) && (stage == "" || job.StageOf(f) == stage) {
			list = append(list, f)
		}
	}
	b.Count = len(list)
	if len(list) > findingsMost {
		list, b.Cut = list[:findingsMost], len(list)-findingsMost
	}
	b.Groups = bySeverity(list)
	return shown{"Findings", b}, nil
}

func (b *findingsBody) add(title string, n int, q url.Values, now bool) {
	b.Filters = append(b.Filters, filter{title + " " + strconv.Itoa(n), "/findings?" + q.Encode(), now})
}
