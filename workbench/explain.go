package workbench

import (
	"net/http"
	"strings"

	"wirewright/job"
)

// explainBody is the reasoning behind a finding.
type explainBody struct {
	Slug string
	Text string
}

// explainPage shows why a check says what it says: its reasoning, its source, a house that has the finding and one that
// is mended.
func explainPage(_ *job.View, r *http.Request) (shown, error) {
	slug := r.PathValue("topic") + "/" + r.PathValue("rule")
	lines, err := job.Explain(slug)
	return shown{slug, explainBody{slug, strings.Join(lines, "\n")}}, err
}

// reasons answers with the address of the reasoning behind a finding; empty where none is written down.
func reasons() func(slug string) string {
	known := map[string]bool{}
	for _, slug := range job.Slugs() {
		known[slug] = true
	}
	return func(slug string) string {
		if known[slug] {
			return "/explain/" + slug
		}
		return ""
	}
}
