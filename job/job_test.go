package job

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"wirewright/behaviour/accept"
	"wirewright/virtual"
)

// TestMain lets the test binary stand in for the program when it starts software modules.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == virtual.Verb {
		os.Exit(virtual.Main(os.Stdin, os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// begun makes an empty job in a temporary folder.
func begun(t *testing.T) *Job {
	t.Helper()
	j, err := Create(context.Background(), filepath.Join(t.TempDir(), "test.wirewright"), Options{Who: "tester"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := j.Close(); err != nil {
			t.Error(err)
		}
	})
	return j
}

func TestDemoGoesThroughTheWholeJob(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a process for each controller")
	}
	dir := t.TempDir()
	j, err := Demo(context.Background(), dir, Options{Who: "tester"}, func(s Stage) {
		t.Logf("%s: %.2f s, good %v", s.Name, s.Took, s.Good)
		for _, l := range s.Report.Lines() {
			t.Log("  " + l)
		}
		if !s.Good {
			t.Errorf("%s found faults", s.Name)
		}
		if c, ok := s.Report.(Commissioning); ok && (c.Trial.Count(accept.Passed) == 0 || c.Enrolled != c.Controllers) {
			t.Errorf("the site was not commissioned: %+v", c)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	for _, f := range []string{"handover.pdf", "handover.xlsx", "plan-ground.svg", "plan-upper.dxf", "house.yaml"} {
		if info, err := os.Stat(filepath.Join(dir, "handover", f)); err != nil || info.Size() < 1000 {
			t.Errorf("%s: %v", f, err)
		}
	}
}
