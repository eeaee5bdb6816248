package store

import (
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"strings"
)

// applicationID stands in the SQLite header of every job file (offset 68) and tells it from other SQLite files: the
// letters "WWjb".
const applicationID = 0x57576a62

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migration brings a file from the format before to its own; formats count from 1.
type migration struct {
	name string
	text string
}

// migrations reads the embedded migrations in their order; the n-th makes format n.
func migrations() ([]migration, error) {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	list := make([]migration, 0, len(names))
	for _, name := range names {
		text, err := migrationFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		list = append(list, migration{name: strings.TrimPrefix(name, "migrations/"), text: string(text)})
	}
	return list, nil
}

// migrate applies what is missing, each migration in a transaction of its own that also moves user_version, so that a
// program killed in between leaves the format before or the format after, never a mixture.
func (d *database) migrate(ctx context.Context, list []migration) error {
	have, err := d.format(ctx, d.writer)
	if err != nil {
		return err
	}
	for n := have; n < len(list); n++ {
		err := d.run(ctx, d.writer, "BEGIN EXCLUSIVE", func(t *txn) error {
			var now int
			if _, err := t.one("PRAGMA user_version", nil, &now); err != nil || now > n {
				return err // another program was quicker
			}
			if _, err := t.session.conn.ExecContext(ctx, list[n].text); err != nil {
				return fmt.Errorf("migration %s: %w", list[n].name, err)
			}
			_, err := t.session.conn.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", n+1))
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// format reads the format of the file.
func (d *database) format(ctx context.Context, p *pool) (int, error) {
	var n int
	err := d.run(ctx, p, "BEGIN", func(t *txn) error {
		_, err := t.one("PRAGMA user_version", nil, &n)
		return err
	})
	return n, err
}

// schemaPrint is a digest over the tables, indexes and triggers of a file. A file whose print is not that of its format
// is refused before any statement could touch a trigger or a view that somebody planted.
func (t *txn) schemaPrint() (string, error) {
	h := sha256.New()
	err := t.all("SELECT type, name, coalesce(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name", nil,
		func(scan func(...any) error) error {
			var kind, name, text string
			if err := scan(&kind, &name, &text); err != nil {
				return err
			}
			fmt.Fprintf(h, "%s\x00%s\x00%s\x00", kind, name, text)
			return nil
		})
	return hex.EncodeToString(h.Sum(nil)[:8]), err
}

// expectedPrint makes the first n formats in memory and takes their print.
func expectedPrint(ctx context.Context, list []migration, n int) (string, error) {
	d := newDatabase("memory", 0)
	defer d.close()
	if err := d.fill(ctx, d.writer, connection{write: true, memory: true}); err != nil {
		return "", err
	}
	if err := d.migrate(ctx, list[:n]); err != nil {
		return "", err
	}
	var print string
	err := d.write(ctx, func(t *txn) (err error) {
		print, err = t.schemaPrint()
		return err
	})
	return print, err
}
