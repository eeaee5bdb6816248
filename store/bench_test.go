package store

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// sizes are a house, a large building and the largest that must still be quick.
var sizes = []int{300, 20_000, 50_000}

// filled makes a job with a generated house in it.
func filled(b *testing.B, points int) (*Store, *house.House) {
	b.Helper()
	s := newJob(b)
	h := generated.House(points, 1)
	if _, err := s.Commit(b.Context(), 0, house.Diff(&house.House{}, h), Meta{Who: "import"}); err != nil {
		b.Fatal(err)
	}
	return s, h
}

// BenchmarkPlainInsert is the yardstick: one row into a plain SQLite file with the same settings, one commit each.
func BenchmarkPlainInsert(b *testing.B) {
	ctx := context.Background()
	db, err := (connection{write: true, create: true}).open(filepath.Join(b.TempDir(), "plain.db"), 1)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, "CREATE TABLE t (n INTEGER PRIMARY KEY, data TEXT)"); err != nil {
		b.Fatal(err)
	}
	s, err := db.PrepareContext(ctx, "INSERT INTO t (data) VALUES (?)")
	if err != nil {
		b.Fatal(err)
	}
	insertRows(b, s)
}

func insertRows(b *testing.B, s *sql.Stmt) {
	data := fmt.Sprintf("%0300d", 7) // about the size of a stored point
	for b.Loop() {
		if _, err := s.Exec(data); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCommitOneEdit moves one point in houses of growing size: the time must not grow with them.
func BenchmarkCommitOneEdit(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s, h := filled(b, n)
			p, rev := h.Points[n/2], Rev(1)
			for i := 0; b.Loop(); i++ {
				q := p
				q.At = &house.XYZ{X: float64(i % 1000), Y: 1, Z: 1}
				next, err := s.Commit(b.Context(), rev, []house.Change{swap(p, q)}, Meta{Who: "anna"})
				if err != nil {
					b.Fatal(err)
				}
				p, rev = q, next
			}
		})
	}
}

// BenchmarkCommitWhole brings in a whole house at once.
func BenchmarkCommitWhole(b *testing.B) {
	for _, n := range sizes {
		changes := house.Diff(&house.House{}, generated.House(n, 1))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				s := newJob(b)
				if _, err := s.Commit(b.Context(), 0, changes, Meta{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHouse builds the newest house, and one a hundred edits before it.
func BenchmarkHouse(b *testing.B) {
	for _, n := range sizes {
		s, h := filled(b, n)
		rev := Rev(1)
		for i := range 100 {
			q := h.Points[i]
			q.Load = &house.Load{Category: house.LED, Power: unit.Watts(3)}
			rev = must(b, s, rev, swap(h.Points[i], q))
		}
		for name, at := range map[string]Rev{"newest": rev, "older": 1} {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := s.House(b.Context(), at); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkOpen opens a job with the look over the whole file.
func BenchmarkOpen(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s, _ := filled(b, n)
			if err := s.Close(); err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				s, err := Open(b.Context(), s.Path(), quick())
				if err != nil {
					b.Fatal(err)
				}
				if err := s.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
