package job

import (
	"context"
	"errors"
	"strings"
	"testing"

	"wirewright/behaviour/accept"
	"wirewright/check"
	"wirewright/examples"
	"wirewright/house"
)

// weir is the example house with its behaviour, landed.
func weir(t *testing.T) *Job {
	t.Helper()
	ctx := context.Background()
	j := begun(t)
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey"); err != nil {
		t.Fatal(err)
	}
	if _, err := j.SetTexts(ctx, examples.WeirBehaviour, examples.WeirAcceptance, "write the behaviour"); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Allot(ctx, 0); err != nil {
		t.Fatal(err)
	}
	return j
}

func look(t *testing.T, j *Job) *View {
	t.Helper()
	v, err := j.View(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func fact(p Passport, name string) Fact {
	for _, f := range p.Facts {
		if f.Name == name {
			return f
		}
	}
	return Fact{}
}

func names(list []PassportRule) string {
	var all []string
	for _, r := range list {
		all = append(all, r.Name)
	}
	return strings.Join(all, " ")
}

func TestPassportOfALamp(t *testing.T) {
	p, err := weir(t).Passport(context.Background(), "hall.ceiling")
	if err != nil {
		t.Fatal(err)
	}
	if p.Kind != "point" || p.Title != "Hall ceiling light" || p.What != "lamp" || p.Storey != "ground" || !strings.HasPrefix(p.Designation, "+S0.001-EA") {
		t.Errorf("it is a %s, %q, %q, on %q, %q", p.Kind, p.Title, p.What, p.Storey, p.Designation)
	}
	if f := fact(p, "room"); f.Of == nil || *f.Of != (Ref{"room", "hall", "Hall"}) {
		t.Errorf("its room is %+v", f)
	}
	if f := fact(p, "circuit"); f.Of == nil || f.Of.ID != "board1.f1" {
		t.Errorf("its circuit is %+v", f)
	}
	if f := fact(p, "load"); !strings.Contains(f.Value, "16 W") {
		t.Errorf("its load is %+v", f)
	}
	if f := fact(p, "place"); !strings.HasSuffix(f.Value, "above the floor") {
		t.Errorf("its place is %+v", f)
	}
	if len(p.Landings) != 1 || p.Landings[0].Channel == "" || p.Landings[0].Point.ID != "hall.ceiling" {
		t.Errorf("it lands on %+v", p.Landings)
	}
	if got := names(p.Moves); !strings.Contains(got, "hall-light") || !strings.Contains(got, "all-off") {
		t.Errorf("it is moved by %s", got)
	}
	if len(p.Moves) > 0 && (p.Moves[0].Through != nil || p.Moves[0].Line == 0 || p.Moves[0].Controller == "") {
		t.Errorf("a rule of a single point says %+v", p.Moves[0])
	}
	tried := false
	for _, x := range p.Tests {
		tried = tried || x.Rule == "hall-light" && len(x.Steps) > 1 && x.Rehearse == "not tried" && x.Try == "not tried"
	}
	if !tried {
		t.Errorf("its tests are %+v", p.Tests)
	}
	if len(p.History) != 1 || p.History[0].What != "added" || p.History[0].Why != "survey" {
		t.Errorf("its history is %+v", p.History)
	}
}

func TestPassportOfAKeypad(t *testing.T) {
	p, err := weir(t).Passport(context.Background(), "hall.keys")
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Moves) != 0 {
		t.Errorf("a keypad is moved by %s", names(p.Moves))
	}
	through := ""
	for _, r := range p.Reads {
		if r.Name == "hall-light" {
			through = strings.Join(r.Through, ",")
		}
	}
	if through != "hall.keys.1" {
		t.Errorf("the rule of its first key is through %q", through)
	}
	if len(p.Keys) != 6 || p.Keys[0].Caption == "" || len(p.Keys[0].Lines) == 0 || !strings.Contains(p.Keys[0].Lines[0], "Hall ceiling light") {
		t.Errorf("its keys are %+v", p.Keys)
	}
}

// Rules are found in both directions: what a module executes, what a room's points take part in.
func TestPassportOfAModuleAndItsRoom(t *testing.T) {
	j := weir(t)
	v := look(t, j)
	ctx := context.Background()
	lamp, err := v.Passport(ctx, "", "hall.ceiling")
	if err != nil {
		t.Fatal(err)
	}
	module, err := v.Passport(ctx, "", lamp.Landings[0].Module.ID)
	if err != nil {
		t.Fatal(err)
	}
	if module.Kind != "module" || fact(module, "type").Value == "" || !strings.Contains(names(module.Moves), "hall-light") {
		t.Errorf("the module says %+v", module)
	}
	decider, err := v.Passport(ctx, "", house.ID(lamp.Moves[0].Controller))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(names(decider.Lives), lamp.Moves[0].Name) {
		t.Errorf("%s decides %s, and not %s", decider.ID, names(decider.Lives), lamp.Moves[0].Name)
	}
	room, err := v.Passport(ctx, "", "hall")
	if err != nil {
		t.Fatal(err)
	}
	if len(room.Parts) < 2 || room.Parts[0].Title != "points" || !strings.Contains(names(room.Reads), "hall-light") || !strings.Contains(names(room.Moves), "hall-light") {
		t.Errorf("the room says %+v, read by %s", room.Parts, names(room.Reads))
	}
}

func TestEverythingWithANameHasAPassport(t *testing.T) {
	v := look(t, weir(t))
	kinds := map[string]bool{}
	for _, r := range append(v.All(), Ref{Kind: "network"}, Ref{Kind: "site"}) {
		p, err := v.Passport(context.Background(), r.Kind, r.ID)
		if err != nil {
			t.Errorf("%s %s: %v", r.Kind, r.ID, err)
			continue
		}
		if p.Kind != r.Kind || p.What == "" || len(p.Lines()) < 2 {
			t.Errorf("%s %s: %+v", r.Kind, r.ID, p)
		}
		kinds[r.Kind] = true
	}
	if len(kinds) != 12 {
		t.Errorf("the example has things of %d kinds: %v", len(kinds), kinds)
	}
}

// A circuit may be called like a point; the kind tells them apart.
func TestPassportByKind(t *testing.T) {
	j := begun(t)
	h := &house.House{Format: house.FormatName, Storeys: []house.Storey{{ID: "ground"}}, Boards: []house.Board{{ID: "board"}},
		Circuits: []house.Circuit{{ID: "heater", Board: "board"}}, Points: []house.Point{{ID: "heater", Kind: house.Socket, Circuit: "heater"}}}
	if _, err := j.ReadHouse(context.Background(), "house.yaml", house.Write(h), "begin"); err != nil {
		t.Fatal(err)
	}
	v := look(t, j)
	for kind, want := range map[string]string{"": "point", "point": "point", "circuit": "circuit"} {
		if p, err := v.Passport(context.Background(), kind, "heater"); err != nil || p.Kind != want {
			t.Errorf("as %q it is a %q: %v", kind, p.Kind, err)
		}
	}
	if _, err := v.Passport(context.Background(), "room", "heater"); KindOf(err) != Missing {
		t.Errorf("as a room: %v", err)
	}
}

func TestPassportOfWhatIsNotThere(t *testing.T) {
	_, err := weir(t).Passport(context.Background(), "hall.cieling")
	var own *Error
	if !errors.As(err, &own) || own.Kind != Missing || own.Hint != "did you mean hall.ceiling?" {
		t.Errorf("it says %v", err)
	}
}

func TestHistoryNamesTheFieldsThatChanged(t *testing.T) {
	j := weir(t)
	ctx := context.Background()
	h, rev, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	after := *h
	after.Points = append([]house.Point{}, h.Points...)
	after.Points[0].Title, after.Points[0].Note = "Another light", "new"
	if _, err := j.Edit(ctx, rev, house.Diff(h, &after), "rename the light"); err != nil {
		t.Fatal(err)
	}
	p, err := j.Passport(ctx, h.Points[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.History) != 2 || p.History[0].What != "title, note" || p.History[0].Why != "rename the light" || p.History[1].What != "added" {
		t.Errorf("its history is %+v", p.History)
	}
}

func TestStagesCountWhatIsOpen(t *testing.T) {
	v := look(t, weir(t))
	stages := v.Stages()
	open := 0
	for _, s := range stages {
		open += s.Open
		if s.State == "" || s.What == "" || len(s.Next) == 0 {
			t.Errorf("%s says too little: %+v", s.Name, s)
		}
	}
	want := 0
	for _, f := range v.Findings {
		want += btoi(f.Severity != check.Remark)
	}
	if len(stages) != 7 || open != want {
		t.Errorf("%d stages with %d open, expected 7 with %d", len(stages), open, want)
	}
	if stages[0].State != "2 storeys, 20 rooms" || !strings.HasSuffix(stages[1].State, "all landed") || stages[3].Begun || stages[4].Begun {
		t.Errorf("they say %q, %q, %q, %q", stages[0].State, stages[1].State, stages[3].State, stages[4].State)
	}
}

func TestStagesOfAnEmptyJob(t *testing.T) {
	for _, s := range look(t, begun(t)).Stages() {
		if s.Begun || s.Open != 0 {
			t.Errorf("%s has begun in an empty job: %+v", s.Name, s)
		}
	}
}

func TestCommandsQuoteTheirPath(t *testing.T) {
	for path, want := range map[string]string{"a/b-1.wirewright": "a/b-1.wirewright", "": "''", "my house.wirewright": "'my house.wirewright'", "it's": `'it'\''s'`, "a;rm -r b": "'a;rm -r b'"} {
		if got := shellWord(path); got != want {
			t.Errorf("%q becomes %s", path, got)
		}
	}
}

func TestViewIsUsedAgainAndShowsTrials(t *testing.T) {
	j := weir(t)
	ctx := context.Background()
	first := look(t, j)
	second, err := j.View(ctx, first)
	if err != nil {
		t.Fatal(err)
	}
	if first.House != second.House || first.Rehearse != nil {
		t.Error("the same revision is derived twice, or was rehearsed before")
	}
	if _, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Only: []string{"hall-light"}}); err != nil {
		t.Fatal(err)
	}
	third, err := j.View(ctx, second)
	if err != nil {
		t.Fatal(err)
	}
	if third.House != first.House || third.Rehearse == nil || second.Rehearse != nil {
		t.Error("a trial changes a view that was handed out, or is not seen")
	}
	passed := 0
	for _, row := range third.TestRows() {
		passed += btoi(row.Rehearse == string(accept.Passed))
	}
	if passed != third.Rehearse.Count(accept.Passed) || passed == 0 {
		t.Errorf("%d tests are shown as passed, the trial says %d", passed, third.Rehearse.Count(accept.Passed))
	}
	if s := third.Stages()[3]; !s.Begun || !strings.HasSuffix(s.State, "passed") {
		t.Errorf("the stage says %+v", s)
	}
}

func TestSchedulesShowEveryLanding(t *testing.T) {
	v := look(t, weir(t))
	landings := 0
	for _, m := range v.House.Modules {
		landings += len(m.Landings)
	}
	shown := 0
	for _, m := range v.ModuleRows() {
		taken := 0
		for _, c := range m.Channels {
			taken += btoi(c.Point.ID != "")
		}
		shown += taken
		if m.Free != len(m.Channels)-taken {
			t.Errorf("%s has %d free channels of %d", m.ID, m.Free, len(m.Channels))
		}
	}
	if shown != landings {
		t.Errorf("%d landings are shown of %d", shown, landings)
	}
	rows := v.PointRows()
	if len(rows) != len(v.House.Points) {
		t.Errorf("%d rows for %d points", len(rows), len(v.House.Points))
	}
	for _, r := range rows {
		if r.ID == "hall.keys" && (len(r.Landings) != 1 || !strings.Contains(r.Landings[0].Channel, " to ")) {
			t.Errorf("the keys land on %+v", r.Landings)
		}
	}
}

func TestTextLinesCarryRulesAndMistakes(t *testing.T) {
	v := look(t, weir(t))
	lines := v.TextLines()
	rules := 0
	for i, l := range lines {
		if l.Number != i+1 || len(l.Problems) > 0 {
			t.Errorf("line %d is %+v", i+1, l)
		}
		if l.Rule != nil {
			rules++
			if !strings.HasPrefix(l.Text, "rule ") {
				t.Errorf("line %d begins no rule: %q", i+1, l.Text)
			}
		}
	}
	if rules != len(v.Compiled.Rules) {
		t.Errorf("%d rules have a line of %d", rules, len(v.Compiled.Rules))
	}
	if list := look(t, begun(t)).TextLines(); list != nil {
		t.Errorf("an empty text has %d lines", len(list))
	}
}

func TestPlanIsOfAUsableSize(t *testing.T) {
	v := look(t, weir(t))
	for _, s := range v.House.Storeys {
		p, err := v.Plan(s.ID)
		if err != nil {
			t.Fatal(err)
		}
		if p.Model == nil || p.Model.Scale > sheetScale || p.Width > 2*sheetWidth {
			t.Errorf("%s is drawn 1:%g, %g mm wide", s.ID, p.Model.Scale, p.Width)
		}
	}
	if _, err := v.Plan("groud"); KindOf(err) != Missing {
		t.Errorf("an unknown storey gives %v", err)
	}
}

func TestPapersByName(t *testing.T) {
	j := weir(t)
	for _, name := range []string{"handover.pdf", "handover.xlsx", "house.yaml"} {
		p, err := j.Paper(context.Background(), name)
		if err != nil || len(p.Data) < 1000 || p.Name != name || p.Media == "" {
			t.Errorf("%s: %d bytes, %v", name, len(p.Data), err)
		}
	}
	if _, err := j.Paper(context.Background(), "handover.doc"); KindOf(err) != Missing {
		t.Errorf("an unknown paper gives %v", err)
	}
}
