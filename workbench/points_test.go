package workbench

import (
	"net/url"
	"strings"
	"testing"

	"wirewright/check"
	"wirewright/job"
)

func row(id, what string, worst check.Severity) job.PointRow {
	return job.PointRow{Ref: job.Ref{Kind: "point", ID: "a"}, What: id + " " + what, Load: id, Worst: worst}
}

func TestScheduleSortsByTheWorstFinding(t *testing.T) {
	b := pointsBody{Rows: []job.PointRow{row("1", "", ""), row("2", "", check.Remark), row("3", "", check.Fault), row("4", "", check.Caution), row("5", "", check.Fault)}}
	b.sort("findings")
	got := ""
	for _, r := range b.Rows {
		got += r.Load
	}
	if got != "35421" {
		t.Errorf("the rows stand in the order %s", got)
	}
}

func TestScheduleIsCutIntoPages(t *testing.T) {
	rows := make([]job.PointRow, 2*pointsMost+1)
	for page, want := range map[string]int{"": pointsMost, "2": pointsMost, "3": 1, "99": 1, "-1": pointsMost, "x": pointsMost} {
		b := pointsBody{Rows: rows}
		b.cut(url.Values{"page": {page}})
		if len(b.Rows) != want || len(b.Pages) != 3 {
			t.Errorf("page %q has %d rows of %d pages", page, len(b.Rows), len(b.Pages))
		}
	}
	b := pointsBody{}
	if b.cut(url.Values{}); len(b.Rows) != 0 || b.Pages != nil {
		t.Errorf("an empty schedule has pages: %v", b.Pages)
	}
}

func TestScheduleKeepsRowsWithAllWords(t *testing.T) {
	b := pointsBody{Find: "Kitchen LAMP", Rows: []job.PointRow{row("kitchen", "lamp", ""), row("kitchen", "fan", ""), row("hall", "lamp", "")}}
	b.filter()
	if len(b.Rows) != 1 || !strings.HasPrefix(b.Rows[0].What, "kitchen lamp") {
		t.Errorf("it keeps %v", b.Rows)
	}
}
