package rehearse

import (
	"context"
	"strings"
	"testing"

	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/house"
)

const acceptance = `
test "hall key switches the hall"
  press hall.keys.1
  expect hall.ceiling on within 300 ms
  wait 200 ms
  press hall.keys.1
  expect hall.ceiling off within 300 ms

test "all off from the bedroom, over the network"
  press kitchen.keys.1
  expect kitchen.ceiling on within 1 s
  press bedroom.keys.2
  expect kitchen.ceiling off within 1 s

test "the house works without its router"
  break router
  wait 30 s
  press hall.keys.1
  expect hall.ceiling on within 300 ms
  press bedroom.keys.1
  expect bedroom.ceiling on within 300 ms
  mend router

test "the storm holds the awning"
  at 2026-03-02 12:00
  wait 1 min
  set garden.wind to 15 m/s
  wait 6 s
  set garden.awning to 100 %
  expect garden.awning moves still within 1 s
  set garden.wind to 2 m/s
  wait 2 s
  set garden.awning to 100 %
  expect garden.awning moves down within 1 s

test "the kitchen window is told of"
  set kitchen.window to open
  wait 10 min
  expect notice "the kitchen window is open" within 2 s

test "shutters at dusk"
  at 2026-03-02 17:30
  expect living.shutter moves down within 45 min
  expect living.shutter lowered within 30 s

test "nobody is woken who is away"
  hold hall.keys.2
  let go hall.keys.2
  wait 1 min
  at 2026-03-04 06:29
  wait 2 min
  expect bedroom.shutter moves still within 1 s
  expect bedroom.shutter lowered

test "this one must fail"
  press hall.keys.1
  expect hall.ceiling off within 1 s

test "this one cannot be tried"
  press cellar.keys.1
  expect hall.ceiling on within 1 s
`

func TestAcceptanceInRehearsal(t *testing.T) {
	tests, problems := accept.Parse("acceptance", acceptance)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	h, cat := mill(t)
	r := compiled(t, h, cat, Options{Seed: 11})
	seen := 0
	trials := r.Run(context.Background(), tests, func(done, total int, _ Trial) {
		if seen++; done != seen || total != len(tests) {
			t.Errorf("progress %d of %d", done, total)
		}
	})
	if len(trials) != len(tests) || seen != len(tests) {
		t.Fatalf("%d trials of %d tests", len(trials), len(tests))
	}
	for _, trial := range trials {
		want := accept.Passed
		switch {
		case strings.Contains(trial.Test, "must fail"):
			want = accept.Failed
		case strings.Contains(trial.Test, "cannot be"):
			want = accept.NotTried
		}
		if trial.Outcome != want || trial.Good() != (want == accept.Passed) {
			t.Errorf("%s", trial)
		}
		if text := trial.String(); want == accept.Failed {
			for _, part := range []string{"hall.ceiling on (", `seed 11; repeat with: wirewright rehearse --seed 11 --test "this one must fail"`, "0.000 s  hall.keys.1 pressed"} {
				if !strings.Contains(text, part) {
					t.Errorf("%q is missing in\n%s", part, text)
				}
			}
		}
	}
	if again := r.Run(context.Background(), tests[7:8], nil); again[0].Story != trials[7].Story {
		t.Errorf("alone it goes\n%safter the others\n%s", again[0].Story, trials[7].Story)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if late := r.Run(ctx, tests[:1], nil); late[0].Outcome != accept.NotTried {
		t.Errorf("a run that was stopped: %s", late[0])
	}
}

// Every rule of the small house and of a large one passes the test that is made of it.
func TestGeneratedTestsPass(t *testing.T) {
	h, cat := mill(t)
	for _, h := range []*house.House{h, large(6)} {
		c, problems := behaviour.Compile(h, cat)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		tests := accept.Generate(c)
		if bad := accept.Check(c, "made", tests); len(bad) > 0 {
			t.Fatal(bad)
		}
		r, err := New(Options{House: h, Catalogue: cat, Programs: c.Programs, Seed: 2})
		if err != nil {
			t.Fatal(err)
		}
		count := map[accept.Outcome]int{}
		for _, trial := range r.Run(context.Background(), tests, nil) {
			if count[trial.Outcome]++; !trial.Good() && trial.Outcome != accept.NotTried {
				t.Errorf("%s", trial)
			} else if trial.Outcome == accept.NotTried {
				t.Logf("%s", trial)
			}
		}
		if count[accept.Passed] < len(h.Points)/2 {
			t.Errorf("only %d of %d tests passed", count[accept.Passed], len(tests))
		}
		t.Logf("%d points, %d tests: %v", len(h.Points), len(tests), count)
	}
}

// The workbench commands an output; without a connection it is told so.
func TestCommandFromTheWorkbench(t *testing.T) {
	r := start(t, Options{})
	r.must(t, r.Command("living.lamp", 1))
	r.sleep(t, 100)
	if v, _ := r.Value("living.lamp"); v != 1 {
		t.Error("the lamp does not light")
	}
	r.must(t, r.Command("living.shutter", 500))
	r.sleep(t, 30_000)
	if p, _, _ := r.Position("living.shutter"); p != 500 {
		t.Errorf("the shutter stands at %d", p)
	}
	if err := r.Command("living.lmap", 1); err == nil || !strings.Contains(err.Error(), "did you mean living.lamp?") {
		t.Errorf("a misspelt point: %v", err)
	}
	r.must(t, r.Break("module living.box"))
	if err := r.Command("living.lamp", 1); err == nil || !strings.Contains(err.Error(), "no connection") {
		t.Errorf("a module without power: %v", err)
	}
	if story := r.Story(0, r.Elapsed()); !strings.Contains(story, "workbench sends living.lamp to living.box: on") {
		t.Errorf("the story does not tell it:\n%s", story)
	}
}
