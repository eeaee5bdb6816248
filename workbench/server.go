package workbench

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net"
	"net/http"
	"net/url"
	"sync"
	"time"

	"wirewright/job"
)

// Options say how to serve. The zero value serves the person at this machine.
type Options struct {
	Rand io.Reader // source of the token; the system's where nil
	Open bool      // allow a listener that other machines reach; whoever sets it has been asked
}

// Server serves one job. It may be asked by many at a time.
type Server struct {
	job   *job.Job
	opt   Options
	token string
	pages map[string]*template.Template
	files *files
	doors http.Handler

	mu   sync.Mutex // guards view, and lets one request at a time derive a new one
	view *job.View
}

// tokenBytes is the length of the token: 256 bits from the system's random source.
const tokenBytes = 32

// New makes a server for an open job. The job stays the caller's to close, after Serve has returned.
func New(j *job.Job, opt Options) (*Server, error) {
	if opt.Rand == nil {
		opt.Rand = rand.Reader
	}
	raw := make([]byte, tokenBytes)
	if _, err := io.ReadFull(opt.Rand, raw); err != nil {
		return nil, fmt.Errorf("no token for the workbench: the random source: %w", err)
	}
	s := &Server{job: j, opt: opt, token: base64.RawURLEncoding.EncodeToString(raw)}
	var err error
	if s.files, err = readFiles(); err != nil {
		return nil, err
	}
	if s.pages, err = s.readPages(); err != nil {
		return nil, err
	}
	s.doors = s.guard(s.routes())
	return s, nil
}

// URL is the address that opens the workbench on a listener; it holds the token and is for one person's eyes.
func (s *Server) URL(at net.Addr) string {
	u := url.URL{Scheme: "http", Host: at.String(), Path: "/", RawQuery: url.Values{tokenField: {s.token}}.Encode()}
	return u.String()
}

// ErrNotLoopback refuses a listener that other machines reach, unless Options.Open allows it.
var ErrNotLoopback = errors.New("the workbench listens on the loopback network only: use 127.0.0.1 or ::1")

// The bounds of a request; the pages are small, and nobody sends anything.
const (
	headerTime  = 10 * time.Second
	answerTime  = 2 * time.Minute // papers of a large house take a while
	idleTime    = 2 * time.Minute
	headerMost  = 32 << 10 // bytes
	farewell    = 3 * time.Second
	requestMost = 1 << 10 // bytes of a body that is thrown away
)

// Serve answers on a listener until the context ends; then it lets answers under way finish, for a moment, and returns
// nil. It closes the listener.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	if !s.opt.Open && !loopback(l.Addr()) {
		return errors.Join(ErrNotLoopback, l.Close())
	}
	server := &http.Server{Handler: s, ReadHeaderTimeout: headerTime, ReadTimeout: headerTime, WriteTimeout: answerTime, IdleTimeout: idleTime, MaxHeaderBytes: headerMost}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), farewell)
	defer cancel()
	if err := server.Shutdown(last); err != nil {
		return errors.Join(err, server.Close())
	}
	<-done // always http.ErrServerClosed
	return nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.doors.ServeHTTP(w, r) }

func loopback(a net.Addr) bool {
	t, ok := a.(*net.TCPAddr)
	return ok && t.IP.IsLoopback()
}

// look is the view of the newest revision. Whoever asks while another one derives it waits and shares it.
func (s *Server) look(ctx context.Context) (*job.View, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v, err := s.job.View(ctx, s.view)
	if err == nil {
		s.view = v
	}
	return v, err
}
