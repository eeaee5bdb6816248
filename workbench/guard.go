package workbench

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"net/url"
	"strings"
)

// tokenField is the query field that carries the token in the address that the command prints.
const tokenField = "token"

// policy allows what is served from here and nothing inline: script, style, type and pictures are files of this server.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"

// guard stands before every page. In this order: the machine that is meant, the method, who sent it, and the token.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secure(w.Header())
		r.Body = http.MaxBytesReader(w, r.Body, requestMost)
		switch {
		case !s.meant(r):
			s.refuse(w, http.StatusMisdirectedRequest, "This address is not the workbench's", "Open the address that the command printed.")
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			w.Header().Set("Allow", "GET, HEAD")
			s.refuse(w, http.StatusMethodNotAllowed, "The workbench is for reading", "Change the house with the commands of wirewright.")
		case !fromHere(r):
			s.refuse(w, http.StatusForbidden, "Another site asked for this page", "Open the address that the command printed.")
		case strings.HasPrefix(r.URL.Path, staticPath):
			next.ServeHTTP(w, r) // no word of the job is in these files, and the page of a refusal needs them
		case s.brings(r):
			s.admit(w, r)
		case !s.known(r):
			s.refuse(w, http.StatusUnauthorized, "The workbench is closed to this browser", "Open the address that the command printed; it carries this start's token.")
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// secure sets the headers that every answer has.
func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	h.Set("Cache-Control", "no-store")
}

// meant tells whether the request names this server: one of the names of this machine (or the address it listens on,
// where that is open), and the port it came in by. A foreign name that was made to point here has another one.
func (s *Server) meant(r *http.Request) bool {
	name, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		name, port = strings.Trim(r.Host, "[]"), "80"
	}
	at, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	host, here, err := net.SplitHostPort(at.String())
	if err != nil || port != here {
		return false
	}
	ip := net.ParseIP(name)
	return name == "localhost" || ip != nil && (ip.IsLoopback() || s.opt.Open && ip.Equal(net.ParseIP(host)))
}

// fromHere tells whether a request was made by a page of this server or by the person, not by another site's page. A link
// on another site is let through to the token, which such a visit cannot carry.
func fromHere(r *http.Request) bool {
	if o := r.Header.Get("Origin"); o != "" {
		u, err := url.Parse(o)
		if err != nil || u.Scheme != "http" || u.Host != r.Host {
			return false
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return true
	}
	return r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

// cookieName tells the cookies of several workbenches on one machine apart, since cookies know no ports.
func (s *Server) cookieName() string {
	sum := sha256.Sum256([]byte(s.token))
	return "wirewright-" + hex.EncodeToString(sum[:4])
}

func (s *Server) same(token string) bool {
	return subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) == 1
}

// brings tells whether the address carries the token.
func (s *Server) brings(r *http.Request) bool {
	return r.URL.RawQuery != "" && s.same(r.URL.Query().Get(tokenField))
}

// admit puts the token into a cookie and leads to the same address without it, so that it stands in no history.
func (s *Server) admit(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, &http.Cookie{Name: s.cookieName(), Value: s.token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	q := r.URL.Query()
	q.Del(tokenField)
	to := url.URL{Path: "/" + strings.TrimLeft(r.URL.Path, "/\\"), RawQuery: q.Encode()}
	w.Header().Set("Location", to.String())
	w.WriteHeader(http.StatusSeeOther)
}

func (s *Server) known(r *http.Request) bool {
	c, err := r.Cookie(s.cookieName())
	return err == nil && s.same(c.Value)
}
