package workbench

import (
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestWhoIsRefused(t *testing.T) {
	d := open(t, example(t))
	_, port, err := net.SplitHostPort(d.http.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	cookie := d.server.cookieName() + "=" + d.server.token
	for _, c := range []struct {
		name   string
		method string
		change func(*http.Request)
		status int
	}{
		{"with the cookie", "GET", func(r *http.Request) {}, 200},
		{"head", "HEAD", func(r *http.Request) {}, 200},
		{"by the name localhost", "GET", func(r *http.Request) { r.Host = "localhost:" + port }, 200},
		{"no cookie", "GET", func(r *http.Request) { r.Header.Del("Cookie") }, 401},
		{"another start's cookie", "GET", func(r *http.Request) { r.Header.Set("Cookie", d.server.cookieName()+"=AAAA") }, 401},
		{"a wrong token in the address", "GET", func(r *http.Request) { r.Header.Del("Cookie"); r.URL.RawQuery = "token=AAAA" }, 401},
		{"an empty token in the address", "GET", func(r *http.Request) { r.Header.Del("Cookie"); r.URL.RawQuery = "token=" }, 401},
		{"a foreign name that points here", "GET", func(r *http.Request) { r.Host = "evil.example:" + port }, 421},
		{"a name that begins like ours", "GET", func(r *http.Request) { r.Host = "127.0.0.1.evil.example:" + port }, 421},
		{"no name", "GET", func(r *http.Request) { r.Host = ":" + port }, 421},
		{"another port", "GET", func(r *http.Request) { r.Host = "127.0.0.1:1" }, 421},
		{"a foreign origin", "GET", func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") }, 403},
		{"the null origin", "GET", func(r *http.Request) { r.Header.Set("Origin", "null") }, 403},
		{"an origin of another port", "GET", func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") }, 403},
		{"our own origin", "GET", func(r *http.Request) { r.Header.Set("Origin", d.http.URL) }, 200},
		{"a picture on another site", "GET", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Dest", "image")
		}, 403},
		{"a frame on another site", "GET", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "navigate")
			r.Header.Set("Sec-Fetch-Dest", "iframe")
		}, 403},
		{"post", "POST", func(r *http.Request) {}, 405},
		{"delete", "DELETE", func(r *http.Request) {}, 405},
	} {
		r, err := http.NewRequest(c.method, d.http.URL+"/points", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Cookie", cookie)
		c.change(r)
		answer, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := io.ReadAll(answer.Body)
		_ = answer.Body.Close()
		if answer.StatusCode != c.status {
			t.Errorf("%s: answered %d, expected %d", c.name, answer.StatusCode, c.status)
		}
		if answer.StatusCode != 200 && strings.Contains(string(b), "hall.ceiling") {
			t.Errorf("%s: refused, and yet shows the house", c.name)
		}
		if strings.Contains(string(b), d.server.token) {
			t.Errorf("%s: shows the token", c.name)
		}
	}
}

func TestTokenLeavesTheAddress(t *testing.T) {
	d := open(t, example(t))
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for path, want := range map[string]string{
		"/?token=":                            "/",
		"/points?find=hall&token=":            "/points?find=hall",
		"//evil.example/x?token=":             "/evil.example/x",
		"/%5Cevil.example?token=":             "/evil.example",
		"/passport/hall.ceiling?x=%0d&token=": "/passport/hall.ceiling?x=%0D",
	} {
		r, err := client.Get(d.http.URL + path + d.server.token)
		if err != nil {
			t.Fatal(err)
		}
		_ = r.Body.Close()
		if r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != want {
			t.Errorf("%s leads to %q by %d, expected %q", path, r.Header.Get("Location"), r.StatusCode, want)
		}
		c := r.Cookies()
		if len(c) != 1 || !c[0].HttpOnly || c[0].SameSite != http.SameSiteStrictMode || c[0].Value != d.server.token {
			t.Errorf("%s sets the cookies %v", path, c)
		}
	}
}

func TestEachStartHasItsToken(t *testing.T) {
	j := newJob(t, nil, "")
	seen := map[string]bool{}
	for range 8 {
		s, err := New(j, Options{})
		if err != nil {
			t.Fatal(err)
		}
		u, err := url.Parse(s.URL(&net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80}))
		if err != nil {
			t.Fatal(err)
		}
		if k := u.Query().Get("token"); len(k) != 43 || seen[k] {
			t.Errorf("the token %q is short or was there before", k)
		} else {
			seen[k] = true
		}
	}
	if _, err := New(j, Options{Rand: strings.NewReader("short")}); err == nil {
		t.Error("a random source that ends gives a token")
	}
}
