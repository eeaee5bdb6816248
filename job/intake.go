package job

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"wirewright/behaviour/draft"
	"wirewright/house"
	"wirewright/intake/furnish"
	"wirewright/intake/ifc"
	"wirewright/store"
)

// File is a file that somebody brings.
type File struct {
	Name string
	Data []byte
}

// Intake is the report of an import.
type Intake struct {
	Rev     store.Rev     `json:"revision"`
	Files   []string      `json:"files"`
	Storeys int           `json:"storeys"`
	Rooms   int           `json:"rooms"`
	Walls   int           `json:"walls"`
	Doors   int           `json:"doors"`
	Windows int           `json:"windows"`
	Points  int           `json:"points"`
	Boards  int           `json:"boards"`
	Unread  []string      `json:"unread"` // grouped, most frequent first
	Mapped  []ifc.Mapping `json:"mapped,omitempty"`
}

// Lines implements Report.
func (i Intake) Lines() []string {
	list := []string{fmt.Sprintf("%s: %s, %s, %s, %s, %s, %s; %s", strings.Join(i.Files, " and "), plural(i.Storeys, "storey", "storeys"), plural(i.Rooms, "room", "rooms"),
		plural(i.Walls, "wall", "walls"), plural(i.Doors, "door", "doors"), plural(i.Windows, "window", "windows"), plural(i.Points, "point", "points"), stored(i.Rev))}
	if len(i.Unread) > 0 {
		list = append(list, "not taken in:")
		for _, u := range i.Unread[:min(len(i.Unread), 12)] {
			list = append(list, "  "+u)
		}
		if n := len(i.Unread) - 12; n > 0 {
			list = append(list, fmt.Sprintf("  and %d more kinds (--json lists all)", n))
		}
	}
	return list
}

// Import brings building models into a job whose house has no rooms yet; several models share one set of coordinates. A
// model that was brought in before and has rooms is refused: its points would be lost.
func (j *Job) Import(ctx context.Context, files []File) (Intake, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Intake{}, err
	}
	if len(h.Rooms) > 0 {
		return Intake{}, &Error{Kind: Refused, Subject: j.Path(), Err: errors.New("the house has rooms already"), Hint: "begin a new job for another model"}
	}
	opts := ifc.Options{Keep: h}
	var results []*ifc.Result
	report := Intake{}
	for _, f := range files {
		r, err := ifc.Import(filepath.Base(f.Name), f.Data, opts)
		if err != nil {
			return Intake{}, err
		}
		results, report.Files = append(results, r), append(report.Files, filepath.Base(f.Name))
		if err := j.attach(ctx, store.Attachment{Name: "models/" + filepath.Base(f.Name), Media: "application/x-step", Who: j.opt.Who, Data: f.Data}); err != nil {
			return Intake{}, err
		}
	}
	merged := ifc.Merge(opts, results...)
	after := merged.House
	after.Format = house.FormatName
	if after.Title == "" {
		after.Title = strings.TrimSuffix(report.Files[0], filepath.Ext(report.Files[0]))
	}
	if after.Site.Currency == "" {
		after.Site.Currency = "EUR"
	}
	report.Storeys, report.Rooms, report.Walls, report.Points, report.Boards = len(after.Storeys), len(after.Rooms), len(after.Walls), len(after.Points), len(after.Boards)
	for _, o := range after.Openings {
		report.Doors += btoi(o.Kind == house.Door)
		report.Windows += btoi(o.Kind == house.Window)
	}
	report.Unread, report.Mapped = merged.Summary(), merged.Mapped
	report.Rev, err = j.become(ctx, rev, h, after, "bring in "+strings.Join(report.Files, ", "))
	return report, err
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Furnished is the report of Furnish.
type Furnished struct {
	Rev     store.Rev        `json:"revision"`
	Added   []house.ID       `json:"added"`
	Remarks []furnish.Remark `json:"remarks"`
	Rules   int              `json:"rules"` // of the behaviour that was drafted, where the house had none
	Open    []string         `json:"open"`  // keys for which the draft says nothing
}

// Lines implements Report.
func (f Furnished) Lines() []string {
	list := []string{fmt.Sprintf("%s added; %s", plural(len(f.Added), "point", "points"), stored(f.Rev))}
	if f.Rules > 0 {
		list = append(list, fmt.Sprintf("%s drafted for the keys and sensors; %s still without a rule", plural(f.Rules, "rule", "rules"), plural(len(f.Open), "key", "keys")))
	}
	for _, r := range f.Remarks[:min(len(f.Remarks), 12)] {
		list = append(list, "  "+r.String())
	}
	if n := len(f.Remarks) - 12; n > 0 {
		list = append(list, fmt.Sprintf("  and %d more remarks (--json lists all)", n))
	}
	return list
}

// Furnish gives every room the points of its data sheet that it does not have yet, and drafts an ordinary behaviour where
// the house has none.
func (j *Job) Furnish(ctx context.Context) (Furnished, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Furnished{}, err
	}
	r := furnish.Furnish(h, furnish.Builtin(), furnish.Options{})
	f := Furnished{Added: r.Added, Remarks: r.Remarks}
	if strings.TrimSpace(h.Behaviour) == "" {
		d := draft.House(r.House)
		r.House.Behaviour, f.Rules, f.Open = d.Text, d.Rules, d.Open
	}
	f.Rev, err = j.become(ctx, rev, h, r.House, "furnish rooms from their data sheets")
	return f, err
}

// Edited is the report of an edit.
type Edited struct {
	Rev     store.Rev `json:"revision"`
	Changes int       `json:"changes"`
	Dropped []string  `json:"dropped,omitempty"` // comments that the model has no place for
}

// Lines implements Report.
func (e Edited) Lines() []string {
	list := []string{fmt.Sprintf("%s; %s", plural(e.Changes, "entity changed", "entities changed"), stored(e.Rev))}
	if e.Changes == 0 {
		list = []string{"nothing differs from what the job holds"}
	}
	return append(list, e.lost()...)
}

// lost tells the comments that the text had.
func (e Edited) lost() []string {
	if len(e.Dropped) == 0 {
		return nil
	}
	return []string{"comments are not kept (write a note instead): " + strings.Join(e.Dropped, ", ")}
}

// Begin gives an empty job its title.
func (j *Job) Begin(ctx context.Context, title string) error {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return err
	}
	after := *h
	after.Format, after.Title = house.FormatName, title
	_, err = j.Edit(ctx, rev, house.Diff(h, &after), "begin the job")
	return err
}

// ReadHouse makes a text the house of the job: what differs from the newest revision is stored as one edit. The answer
// says which comments of the text are lost, since a job keeps notes, not comments.
func (j *Job) ReadHouse(ctx context.Context, file string, text []byte, why string) (Edited, error) {
	after, err := house.Read(file, text)
	if err != nil {
		return Edited{}, err
	}
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Edited{}, err
	}
	changes := house.Diff(h, after)
	e := Edited{Changes: len(changes)}
	for _, p := range house.Comments(text) {
		e.Dropped = append(e.Dropped, fmt.Sprintf("line %d", p.Line))
	}
	e.Rev, err = j.Edit(ctx, rev, changes, why)
	return e, err
}
