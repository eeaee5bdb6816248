package workbench

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"wirewright/job"
)

// pointsMost is how many rows a page shows; more stand on further pages.
const pointsMost = 400

// pointsBody is the points schedule, filtered, sorted and cut into pages.
type pointsBody struct {
	Rows    []job.PointRow
	Of      int // rows before the filter
	Found   int // rows after it
	Find    string
	Columns []column
	Pages   []job.Fact // addresses; the present page has none
}

// column is a head of the schedule that sorts by it.
type column struct {
	Title string
	Sort  string // word in the address; empty where it does not sort
	To    string // address
	Now   bool   // the rows stand in this order
}

// pointsPage shows the points schedule.
func pointsPage(v *job.View, r *http.Request) (shown, error) {
	q := r.URL.Query()
	b := pointsBody{Find: strings.TrimSpace(q.Get("find")), Rows: v.PointRows()}
	b.Of = len(b.Rows)
	b.filter()
	b.Found = len(b.Rows)
	b.sort(q.Get("sort"))
	b.cut(q)
	return shown{"Points schedule", b}, nil
}

// filter keeps the rows that have all the words somewhere.
func (b *pointsBody) filter() {
	words := strings.Fields(strings.ToLower(b.Find))
	b.Rows = slices.DeleteFunc(b.Rows, func(p job.PointRow) bool {
		text := strings.ToLower(strings.Join([]string{string(p.ID), p.What, string(p.Room.ID), p.Room.Title, p.Load, string(p.Circuit), landings(p)}, " "))
		return slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
	})
}

func landings(p job.PointRow) string {
	var list []string
	for _, l := range p.Landings {
		list = append(list, string(l.Module.ID)+" "+l.Channel)
	}
	return strings.Join(list, " ")
}

// sort orders the rows by a column; rows that are equal there keep the order of the house.
func (b *pointsBody) sort(by string) {
	keys := map[string]func(job.PointRow) string{
		"point": func(p job.PointRow) string { return string(p.ID) }, "kind": func(p job.PointRow) string { return string(p.PointKind) },
		"circuit": func(p job.PointRow) string { return string(p.Circuit) }, "landing": landings,
		"findings": rank,
	}
	if key := keys[by]; key != nil {
		slices.SortStableFunc(b.Rows, func(x, y job.PointRow) int { return cmp.Compare(key(x), key(y)) })
	}
	for _, c := range []column{{Title: "Point", Sort: "point"}, {Title: "What it is", Sort: "kind"}, {Title: "Room", Sort: "house"}, {Title: "Load"},
		{Title: "Circuit", Sort: "circuit"}, {Title: "Lands on", Sort: "landing"}, {Title: "Findings", Sort: "findings"}} {
		c.Now = c.Sort != "" && (c.Sort == by || c.Sort == "house" && keys[by] == nil)
		if c.Sort != "" {
			c.To = b.address(c.Sort, 0)
		}
		b.Columns = append(b.Columns, c)
	}
}

// rank orders rows by the worst of their findings; those without any come last.
func rank(p job.PointRow) string {
	if i := slices.Index(severities, p.Worst); i >= 0 {
		return strconv.Itoa(i)
	}
	return strconv.Itoa(len(severities))
}

// cut keeps the rows of the page that is asked for.
func (b *pointsBody) cut(q url.Values) {
	pages := max(1, (len(b.Rows)+pointsMost-1)/pointsMost)
	n, _ := strconv.Atoi(q.Get("page")) // what is no number is the first page
	n = min(max(n, 1), pages)
	for i := 1; i <= pages && pages > 1; i++ {
		f := job.Fact{Name: strconv.Itoa(i)}
		if i != n {
			f.Value = b.address(q.Get("sort"), i)
		}
		b.Pages = append(b.Pages, f)
	}
	b.Rows = b.Rows[(n-1)*pointsMost : min(n*pointsMost, len(b.Rows))]
}

func (b *pointsBody) address(sort string, page int) string {
	q := url.Values{}
	if b.Find != "" {
		q.Set("find", b.Find)
	}
	if sort != "" && sort != "house" {
		q.Set("sort", sort)
	}
	if page > 1 {
		q.Set("page", strconv.Itoa(page))
	}
	if len(q) == 0 {
		return "/points"
	}
	return "/points?" + q.Encode()
}
