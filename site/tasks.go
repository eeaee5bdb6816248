package site

import "fmt"

// Standing is what is known of the live side; whoever keeps it fills in what the steps found.
type Standing struct {
	Sealed   map[string]bool      // by controller: its secret was made
	Hailed   []Hailed             // of the last Hail
	Attested []Attested           // of the last Attest
	Tried    map[string]TryResult // by name of the test
	Tests    []string             // all tests, in order
}

// TryResult is how a test went.
type TryResult struct {
	Epoch  uint32 // in which it was tried: a test of an epoch before counts for nothing
	Passed bool
}

// Task is one thing that is still to do.
type Task struct {
	Act     string // "enrol", "find", "settle", "load", "attest", "try"
	Subject string // controller or test; empty for the whole house
	Text    string // one sentence for the person
}

// Tasks lists what is still to do, in the order in which it is done: the list empties itself as the steps succeed. It is
// computed from the plan and what is known, never kept.
func Tasks(p *Plan, s *Standing) []Task {
	var list []Task
	add := func(act, subject, format string, args ...any) {
		list = append(list, Task{act, subject, fmt.Sprintf(format, args...)})
	}
	hailed := map[string]Hailed{}
	for _, h := range s.Hailed {
		if h.Controller != "" {
			hailed[h.Controller] = h
		}
	}
	for i := range p.Controllers {
		c := &p.Controllers[i]
		switch h := hailed[c.ID]; {
		case h.Finding == Matched && !h.Device.Setup:
		case h.Finding == Wrong:
			add("settle", c.ID, "%s", h.Text)
		case !s.Sealed[c.ID] || h.Device.Setup:
			add("enrol", c.ID, "enrol %s: a %s", c.ID, c.Type)
		default:
			add("find", c.ID, "find %s: it was enrolled and does not answer", c.ID)
		}
	}
	for _, h := range s.Hailed {
		if h.Controller == "" {
			add("settle", h.Device.Hardware, "%s", h.Text)
		}
	}
	epoch, good := OneEpoch(s.Attested)
	switch {
	case len(list) > 0 && !good:
		add("load", "", "load the programs when every controller is there")
	case len(s.Attested) != len(p.Controllers):
		add("attest", "", "read back what each controller runs")
	case !good:
		add("load", "", "load the programs: %s", firstBad(s.Attested))
	}
	for _, t := range s.Tests {
		switch r, tried := s.Tried[t]; {
		case !tried || r.Epoch != epoch || !good:
			add("try", t, "try %q", t)
		case !r.Passed:
			add("try", t, "try %q again: it failed", t)
		}
	}
	return list
}

// firstBad says why a house is not as designed.
func firstBad(list []Attested) string {
	for i := range list {
		if !list[i].Good() {
			return list[i].Text()
		}
	}
	return "not all controllers run the same epoch"
}
