package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"sync"

	"modernc.org/sqlite"
)

// readers is how many connections may read at once; each costs a file descriptor and a page cache.
const readers = 4

// database is the seam to the database engine: one writing session, a few reading ones. Everything above it speaks plain
// SQL with ? for values, so that another engine is another database and a table of its own statements.
type database struct {
	path   string
	writer *pool // one session: SQLite has one writer, and a second would only wait
	reader *pool
	done   chan struct{} // closed when the database is closed
	once   sync.Once
}

// pool holds the idle sessions of one kind.
type pool struct {
	idle   chan *session
	db     *sql.DB
	opened int
}

// newDatabase makes a database without a connection yet; it may have so many readers.
func newDatabase(path string, readers int) *database {
	return &database{path: path, done: make(chan struct{}),
		writer: &pool{idle: make(chan *session, 1)}, reader: &pool{idle: make(chan *session, readers)}}
}

// session is one connection with the statements prepared on it.
type session struct {
	conn     *sql.Conn
	prepared map[string]*sql.Stmt
}

// connection says how one connection to the file is set up.
type connection struct {
	write  bool
	create bool
	memory bool // no file at all
	pages  int  // the file may not grow over so many pages; 0 is no limit
}

// pragmas hold on every connection of the pool, which is why they stand in the connection string: a PRAGMA sent through
// the pool would reach one connection only. FULL costs ten times NORMAL and is the price of "acknowledged is stored".
func (c connection) pragmas() []string {
	list := []string{"busy_timeout(5000)", "synchronous(FULL)", "foreign_keys(1)", "trusted_schema(0)", "cell_size_check(1)",
		"secure_delete(1)", "cache_size(-16000)"}
	if c.create {
		list = append(list, "application_id("+fmt.Sprint(applicationID)+")")
	}
	if c.write {
		list = append(list, "journal_mode(WAL)")
	}
	if c.pages > 0 {
		list = append(list, fmt.Sprintf("max_page_count(%d)", c.pages))
	}
	return list
}

// name builds the connection string for a file. The path is escaped, so that no character of it can become a parameter.
func (c connection) name(path string) string {
	mode := "ro" // never creates: a job that was moved away must not come back empty
	switch {
	case c.memory:
		mode = "memory"
	case c.create:
		mode = "rwc"
	case c.write:
		mode = "rw"
	}
	q := []string{"mode=" + mode, "_txlock=immediate", "_defensive=1", "_dqs=0", "_error_rc=1"}
	for _, p := range c.pragmas() {
		q = append(q, "_pragma="+url.QueryEscape(p))
	}
	abs := filepath.ToSlash(path)
	if !strings.HasPrefix(abs, "/") {
		abs = "/" + abs // C:/… becomes /C:/…, as sqlite.org/uri.html asks
	}
	return (&url.URL{Scheme: "file", Path: abs, OmitHost: true}).String() + "?" + strings.Join(q, "&")
}

// open opens a pool of at most n connections.
func (c connection) open(path string, n int) (*sql.DB, error) {
	// Locks of open file descriptions survive it when something else in the process closes the same file; fdatasync is what
	// every distribution's SQLite uses. Where the platform has neither, SQLite's default stands.
	_, _ = sqlite.OFDLocking(true)
	_, _ = sqlite.Fdatasync(true)
	connector, err := sqlite.NewConnector(c.name(path))
	if err != nil {
		return nil, classify(err, path)
	}
	db := sql.OpenDB(connector)
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n)
	return db, nil
}

// fill opens the sessions of one pool.
func (d *database) fill(ctx context.Context, p *pool, c connection) error {
	var err error
	if p.db, err = c.open(d.path, cap(p.idle)); err != nil {
		return err
	}
	for range cap(p.idle) {
		conn, err := p.db.Conn(ctx)
		if err != nil {
			return classify(err, d.path)
		}
		p.opened++
		p.idle <- &session{conn: conn, prepared: map[string]*sql.Stmt{}}
	}
	return nil
}

// borrow takes an idle session, or waits for one; give it back to p.idle.
func (d *database) borrow(ctx context.Context, p *pool) (*session, error) {
	closed := &Error{Kind: Invalid, Path: d.path, Text: "the job was closed"}
	select {
	case <-d.done: // the sessions may all be idle still, so this goes first
		return nil, closed
	default:
	}
	select {
	case s := <-p.idle:
		return s, nil
	case <-d.done:
		return nil, closed
	case <-ctx.Done():
		return nil, classify(ctx.Err(), d.path)
	}
}

// close waits for what is running and closes all connections; closing again does nothing.
func (d *database) close() (first error) {
	d.once.Do(func() {
		close(d.done)
		for _, p := range []*pool{d.reader, d.writer} {
			for range p.opened {
				if err := (<-p.idle).close(); err != nil && first == nil {
					first = err
				}
			}
			if p.db == nil {
				continue
			}
			if err := p.db.Close(); err != nil && first == nil {
				first = err
			}
		}
	})
	return first
}

func (s *session) close() error {
	for _, p := range s.prepared {
		_ = p.Close() // goes with the connection in any case
	}
	return s.conn.Close()
}

// txn is one transaction: all of its reads see one state, all of its writes are stored or none.
type txn struct {
	ctx     context.Context
	session *session
}

// write runs f in a transaction that holds the write lock from its start, and commits if f returned nil.
func (d *database) write(ctx context.Context, f func(*txn) error) error {
	return d.run(ctx, d.writer, "BEGIN IMMEDIATE", f)
}

// read runs f in a transaction that sees one state of the file.
func (d *database) read(ctx context.Context, f func(*txn) error) error {
	return d.run(ctx, d.reader, "BEGIN", f)
}

func (d *database) run(ctx context.Context, p *pool, begin string, f func(*txn) error) error {
	s, err := d.borrow(ctx, p)
	if err != nil {
		return err
	}
	defer func() { p.idle <- s }()
	t := &txn{ctx: ctx, session: s}
	// The end of a transaction never heeds the context: a commit is done or refused, not left in doubt.
	end := &txn{ctx: context.WithoutCancel(ctx), session: s}
	if _, err := t.exec(begin); err != nil {
		return classify(err, d.path)
	}
	if err = f(t); err == nil {
		if _, err = end.exec("COMMIT"); err == nil {
			return nil
		}
	}
	// After some errors (a full disk) SQLite has rolled back already, and says so; the first error is the one to tell.
	_, _ = end.exec("ROLLBACK")
	return classify(err, d.path)
}

// statement prepares a text once for each session.
func (t *txn) statement(text string) (*sql.Stmt, error) {
	if s, ok := t.session.prepared[text]; ok {
		return s, nil
	}
	s, err := t.session.conn.PrepareContext(t.ctx, text)
	if err == nil {
		t.session.prepared[text] = s
	}
	return s, err
}

// exec runs a statement that returns no rows and tells how many it changed.
func (t *txn) exec(text string, args ...any) (int64, error) {
	s, err := t.statement(text)
	if err != nil {
		return 0, err
	}
	res, err := s.ExecContext(t.ctx, args...)
	if err != nil {
		return 0, err
	}
	return res.RowsAffected()
}

// one reads the first row into dest and tells whether there was one.
func (t *txn) one(text string, args []any, dest ...any) (bool, error) {
	s, err := t.statement(text)
	if err != nil {
		return false, err
	}
	err = s.QueryRowContext(t.ctx, args...).Scan(dest...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// all calls f for each row; f scans it.
func (t *txn) all(text string, args []any, f func(scan func(...any) error) error) error {
	s, err := t.statement(text)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(t.ctx, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}
