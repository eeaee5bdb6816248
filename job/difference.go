package job

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"wirewright/house"
	"wirewright/internal/yamldoc"
	"wirewright/store"
)

// Differences is the report of what differs between two revisions, or of what a dry run would have changed.
type Differences struct {
	From store.Rev    `json:"from"`
	To   store.Rev    `json:"to"` // 0 for a dry run
	List []Difference `json:"differences"`
}

// Difference is one entity that differs.
type Difference struct {
	Kind   string       `json:"kind"` // as in house.Change
	ID     house.ID     `json:"id,omitempty"`
	What   string       `json:"what"`             // added, removed, changed, moved
	Title  string       `json:"title,omitempty"`  // as it is afterwards, or was before it was removed
	Fields []FieldValue `json:"fields,omitempty"` // of an entity that changed
	Text   []string     `json:"text,omitempty"`   // of a text that changed: its lines with "-" or "+" before them
}

// FieldValue is one field of an entity that changed, in the forms of the house text; null where it is left out.
type FieldValue struct {
	Name   string          `json:"name"`
	Before json.RawMessage `json:"before"`
	After  json.RawMessage `json:"after"`
}

// Lines implements Report.
func (d Differences) Lines() []string {
	what := fmt.Sprintf("from revision %d to %d", d.From, d.To)
	if d.To == 0 {
		what = fmt.Sprintf("to revision %d", d.From)
	}
	if len(d.List) == 0 {
		return []string{"no difference " + what}
	}
	list := []string{plural(len(d.List), "difference", "differences") + " " + what}
	for i := range d.List {
		list = append(list, d.List[i].lines()...)
	}
	return list
}

// valueMost is how many characters of a field's value a line shows.
const valueMost = 60

func (d *Difference) lines() []string {
	head := strings.TrimSpace(fmt.Sprintf("%s %s", d.Kind, d.ID))
	if d.Title != "" && d.What != "changed" {
		head += " (" + d.Title + ")"
	}
	list := []string{"  " + d.What + " " + head}
	for _, f := range d.Fields {
		for _, l := range f.lines() {
			list = append(list, "    "+l)
		}
	}
	for _, t := range d.Text {
		list = append(list, "    "+t)
	}
	return list
}

// lines tells the field: what holds further fields, or a list, by what differs of it.
func (f *FieldValue) lines() []string {
	var list []string
	if a, b := fieldsIn(f.Before), fieldsIn(f.After); a != nil && b != nil {
		for _, name := range keysOf(a, b) {
			if part := (FieldValue{f.Name + "." + name, a[name], b[name]}); string(part.Before) != string(part.After) {
				list = append(list, part.lines()...)
			}
		}
		return list
	}
	before, after := itemsIn(f.Before), itemsIn(f.After)
	if before == nil && after == nil {
		if before, after := shown(f.Before), shown(f.After); len([]rune(before+after)) <= valueMost {
			return []string{fmt.Sprintf("%s: %s → %s", f.Name, before, after)}
		}
		before, after = []string{shown(f.Before)}, []string{shown(f.After)}
	}
	list = append(list, f.Name+":")
	for _, l := range lineDifference(strings.Join(before, "\n"), strings.Join(after, "\n")) {
		list = append(list, "  "+l)
	}
	return list
}

// fieldsIn are the fields of a value that has some, else nil.
func fieldsIn(raw json.RawMessage) map[string]json.RawMessage {
	var m map[string]json.RawMessage
	if len(raw) == 0 || json.Unmarshal(raw, &m) != nil {
		return nil
	}
	return m
}

// keysOf are the names of all fields in one or the other, sorted.
func keysOf(a, b map[string]json.RawMessage) []string {
	return slices.Compact(slices.Sorted(func(yield func(string) bool) {
		for _, m := range []map[string]json.RawMessage{a, b} {
			for name := range m {
				if !yield(name) {
					return
				}
			}
		}
	}))
}

// itemsIn are the items of a list, a line each, else nil.
func itemsIn(raw json.RawMessage) []string {
	var list []json.RawMessage
	if len(raw) == 0 || json.Unmarshal(raw, &list) != nil || list == nil {
		return nil
	}
	items := make([]string, len(list))
	for i, item := range list {
		items[i] = shown(item)
	}
	return items
}

// shown is a value for people: a text without its quotation marks, everything else on one line as it is; a text of
// several lines on one as well.
func shown(raw json.RawMessage) string {
	var s string
	switch err := json.Unmarshal(raw, &s); {
	case len(raw) == 0 || string(raw) == "null":
		return "none"
	case err != nil:
		return strings.ReplaceAll(string(raw), `"`, "")
	}
	return strings.ReplaceAll(s, "\n", " ")
}

// Difference says what differs between two revisions; 0 for to is the newest one.
func (j *Job) Difference(ctx context.Context, from, to store.Rev) (Differences, error) {
	newest, err := j.store.Newest(ctx)
	if err != nil {
		return Differences{}, err
	}
	if to == 0 {
		to = newest
	}
	a, err := j.store.House(ctx, from)
	if err != nil {
		return Differences{}, err
	}
	b, err := j.store.House(ctx, to)
	if err != nil {
		return Differences{}, err
	}
	return Differences{from, to, differences(house.Diff(a, b))}, nil
}

// Would says what a dry run would have changed so far.
func (j *Job) Would(ctx context.Context) (Differences, error) {
	rev, err := j.store.Newest(ctx)
	return Differences{From: rev, List: differences(j.would)}, err
}

// differences makes changes readable.
func differences(changes []house.Change) []Difference {
	list := make([]Difference, 0, len(changes))
	for i := range changes {
		c := &changes[i]
		d := Difference{Kind: c.Kind, ID: c.ID, What: "changed"}
		switch {
		case c.Kind == "order":
			order, _ := c.After.(house.Order)
			d.Kind, d.What = order.List, "moved"
		case c.Kind == "text":
			before, _ := c.Before.(string)
			after, _ := c.After.(string)
			d.Text = lineDifference(before, after)
		case c.Before == nil:
			d.What, d.Title = "added", titleIn(fieldsOf(c.After))
		case c.After == nil:
			d.What, d.Title = "removed", titleIn(fieldsOf(c.Before))
		default:
			before, after := fieldsOf(c.Before), fieldsOf(c.After)
			d.Title = titleIn(after)
			for _, name := range c.Fields() {
				d.Fields = append(d.Fields, FieldValue{name, before[name], after[name]})
			}
		}
		list = append(list, d)
	}
	return list
}

// fieldsOf takes an entity apart into its fields, in the forms of the house text.
func fieldsOf(entity any) map[string]json.RawMessage {
	var m map[string]json.RawMessage
	if err := json.Unmarshal(yamldoc.JSON(entity), &m); err != nil {
		panic("invariant: an entity is not written as an object: " + err.Error())
	}
	return m
}

// titleIn is what people call an entity; a wish has its text for a title.
func titleIn(fields map[string]json.RawMessage) string {
	for _, name := range []string{"title", "text"} {
		if s := shown(fields[name]); s != "none" {
			return s
		}
	}
	return ""
}

// matchMost bounds the table for comparing two texts: beyond it all lines count as changed.
const matchMost = 4_000_000

// lineDifference lists the lines that differ between two texts, those that are gone with "- " before them, those that are
// new with "+ ", by a longest common subsequence.
func lineDifference(before, after string) []string {
	a, b := textLines(before), textLines(after)
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	var list []string
	if (len(a)+1)*(len(b)+1) > matchMost {
		return slices.Concat(marked("- ", a), marked("+ ", b))
	}
	common := commonLengths(a, b)
	for i, k := 0, 0; i < len(a) || k < len(b); {
		switch {
		case i < len(a) && k < len(b) && a[i] == b[k]:
			i, k = i+1, k+1
		case k == len(b) || i < len(a) && common[i+1][k] >= common[i][k+1]:
			list = append(list, "- "+a[i])
			i++
		default:
			list = append(list, "+ "+b[k])
			k++
		}
	}
	return list
}

// commonLengths tells for each pair of positions how many lines the rests from there have in common.
func commonLengths(a, b []string) [][]int {
	table := make([][]int, len(a)+1)
	for i := range table {
		table[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for k := len(b) - 1; k >= 0; k-- {
			if a[i] == b[k] {
				table[i][k] = table[i+1][k+1] + 1
			} else {
				table[i][k] = max(table[i+1][k], table[i][k+1])
			}
		}
	}
	return table
}

// textLines splits a text into lines; an empty text has none.
func textLines(s string) []string {
	if s == "" {
		return nil
	}
	return splitLines(s)
}

func marked(mark string, lines []string) []string {
	list := make([]string, len(lines))
	for i, l := range lines {
		list[i] = mark + l
	}
	return list
}
