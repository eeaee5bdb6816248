package job

import (
	"reflect"
	"slices"
	"sync"
	"testing"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
	"wirewright/house/generated"
)

// TestLiveFindingsAreThoseOfAFullCheck follows a house through edits and another catalogue, from several sides at a time.
func TestLiveFindingsAreThoseOfAFullCheck(t *testing.T) {
	c, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	smaller := *c
	smaller.Types = c.Types[:1]
	h := generated.House(40, 3)
	edited := *h
	edited.Points = slices.Clone(h.Points[1:])
	var l live
	var wait sync.WaitGroup
	for _, x := range []struct {
		h *house.House
		c *catalogue.Catalogue
	}{{h, c}, {&edited, c}, {h, &smaller}, {&edited, &smaller}, {h, c}, {&edited, c}} {
		wait.Add(1)
		go func() {
			defer wait.Done()
			if !reflect.DeepEqual(l.findings(x.h, x.c), check.Check(x.h, x.c)) {
				t.Error("the findings differ from those of a full check")
			}
		}()
	}
	wait.Wait()
}

// BenchmarkLive is the check of one edit of a house of 300 points as a view has it: what changed is found out first.
func BenchmarkLive(b *testing.B) {
	c, err := catalogue.Builtin()
	if err != nil {
		b.Fatal(err)
	}
	h := generated.House(300, 1)
	edited := *h
	edited.Points = slices.Clone(h.Points)
	load := *h.Points[0].Load
	load.Power *= 2
	edited.Points[0].Load = &load
	var l live
	l.findings(h, c)
	for b.Loop() {
		l.findings(&edited, c)
		l.findings(h, c)
	}
}
