package store

import (
	"context"
	"flag"
	"fmt"
	"os"
	"testing"

	"wirewright/house"
	"wirewright/unit"
)

// The test binary starts itself as the program that gets killed: these name what it does then, and to which job.
const (
	childTask = "WIREWRIGHT_STORE_CHILD"
	childJob  = "WIREWRIGHT_STORE_JOB"
)

func TestMain(m *testing.M) {
	if task := os.Getenv(childTask); task != "" {
		if err := child(context.Background(), task, os.Getenv(childJob)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	flag.Parse()
	asked := false
	flag.Visit(func(f *flag.Flag) { asked = asked || f.Name == "rapid.checks" })
	if !asked { // each check makes and opens files; more on request
		_ = flag.Set("rapid.checks", "15")
	}
	os.Exit(m.Run())
}

// child works on a job until it is killed, and says each thing that it holds for done on its standard output.
func child(ctx context.Context, task, path string) error {
	opt := quick()
	opt.Unchecked = true
	list, err := migrations()
	if err != nil {
		return err
	}
	if task == "migrate" {
		s, err := open(ctx, path, opt, append(list, heavyMigration()))
		if err != nil {
			return err
		}
		defer s.Close()
		fmt.Println("done")
		select {} // until killed
	}
	s, err := Open(ctx, path, opt)
	if err != nil {
		return err
	}
	for n := 1; ; n++ {
		switch task {
		case "commit":
			err = childCommit(ctx, s)
		case "contend":
			if err = childCommit(ctx, s); KindOf(err) == Conflict {
				err = nil // the other program was quicker
			}
		case "backup":
			name := fmt.Sprintf("%s.%d.copy", path, n)
			if err = s.Backup(ctx, name); err == nil {
				fmt.Println(name)
			}
		case "export":
			name := fmt.Sprintf("%s.%d.text", path, n)
			if err = s.ExportFolder(ctx, 1, name); err == nil {
				fmt.Println(name)
			}
		default:
			err = fmt.Errorf("no such task: %s", task)
		}
		if err != nil {
			return err
		}
	}
}

// threeLamps are the entities that every edit of the child changes together; their power is the number of the revision.
func threeLamps(rev Rev) []house.Point {
	var list []house.Point
	for _, id := range []house.ID{"a.lamp", "b.lamp", "c.lamp"} {
		p := lamp(id, 0)
		p.Load.Power = unit.Watts(float64(rev))
		list = append(list, p)
	}
	return list
}

// childCommit stores one edit of all three lamps and says its number once it is acknowledged.
func childCommit(ctx context.Context, s *Store) error {
	base, err := s.Newest(ctx)
	if err != nil {
		return err
	}
	was, now := threeLamps(base), threeLamps(base+1)
	var changes []house.Change
	for i := range now {
		if base == 0 {
			changes = append(changes, add(now[i]))
		} else {
			changes = append(changes, swap(was[i], now[i]))
		}
	}
	rev, err := s.Commit(ctx, base, changes, Meta{Who: "child"})
	if err != nil {
		return err
	}
	_, err = fmt.Println(rev)
	return err
}

// heavyMigration is a format 2 whose making takes long enough to be killed in.
func heavyMigration() migration {
	return migration{name: "0002_heavy.sql", text: `
CREATE TABLE heavy (n INTEGER PRIMARY KEY, data TEXT NOT NULL) STRICT;
WITH RECURSIVE count (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM count WHERE n < 30000)
INSERT INTO heavy SELECT n, hex(zeroblob(100)) FROM count;
CREATE INDEX heavy_data ON heavy (data);`}
}
