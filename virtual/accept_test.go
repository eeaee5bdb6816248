package virtual

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/site"
)

// TestGeneratedAcceptanceTestsPass tries every test that is made from the rules of two houses, on the live side: the same
// tests that a rehearsal runs.
func TestGeneratedAcceptanceTestsPass(t *testing.T) {
	folder := filepath.Join("..", "behaviour", "testdata")
	sample, err := os.ReadFile(filepath.Join(folder, "house.yaml"))
	rules, err2 := os.ReadFile(filepath.Join(folder, "sample.txt"))
	if err != nil || err2 != nil {
		t.Skipf("the sample house of the behaviour language is not there: %v %v", err, err2)
	}
	text := string(sample) + "\nbehaviour: |\n  " + strings.ReplaceAll(string(rules), "\n", "\n  ") + "\n"
	for name, text := range map[string]string{"mill": mill, "sample": text} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && name != "mill" {
				t.Skip("the larger house is left out of a short run")
			}
			s := setScene(t, text)
			s.enrol()
			s.connect()
			s.load()
			_, _, c := readHouse(t, text)
			tests := accept.Generate(c)
			start := time.Now()
			results := accept.Run(s.ctx, tests, site.NewWorld(s.ctx, s.link, s.fleet.Hand()), nil)
			count := map[accept.Outcome]int{}
			for _, r := range results {
				count[r.Outcome]++
				if r.Outcome == accept.Failed {
					t.Errorf("%s: %s", r.Test, r.Text)
				}
				if r.Outcome == accept.NotTried {
					t.Logf("not tried: %s: %s", r.Test, r.Text)
				}
			}
			t.Logf("%d controllers, %d tests: %v in %s", len(s.plan.Controllers), len(tests), count, time.Since(start))
			if count[accept.Passed] < len(tests)/2 {
				t.Errorf("only %d of %d were passed", count[accept.Passed], len(tests))
			}
		})
	}
}
