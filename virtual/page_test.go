package virtual

import (
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wirewright/catalogue"
)

// startModule runs one module in this process.
func startModule(t *testing.T, c Config) *Module {
	t.Helper()
	if c.Dir == "" {
		c.Dir = folder(t, "module")
	}
	c.Hardware, c.Type, c.Listen, c.Silent = "02:00:00:00:00:11", "relay-wifi-2x5-in2", "127.0.0.1:0", true
	c.Channels = []Channel{{"", "out1", catalogue.Relay}, {"", "in1", catalogue.Input}, {"", "temp1", catalogue.TempIn}}
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan *Module, 1), make(chan struct{})
	go func() {
		defer close(ended)
		if err := Run(ctx, c, func(m *Module) { ready <- m }); err != nil && ctx.Err() == nil {
			t.Error(err)
			close(ready)
		}
	}()
	t.Cleanup(func() { cancel(); <-ended })
	m := <-ready
	if m == nil {
		t.FailNow()
	}
	return m
}

var goodJoin = Join{Network: "mill-lane", Password: "mill race 1871", House: "mill-lane", Broker: "127.0.0.1:1", Name: "hall.box", Secret: "kR7mWq2TzXc9Hd4L"}

func form(j Join) url.Values {
	return url.Values{"network": {j.Network}, "password": {j.Password}, "house": {j.House}, "broker": {j.Broker}, "name": {j.Name}, "secret": {j.Secret}}
}

func get(t *testing.T, address string) (int, string) {
	t.Helper()
	r, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(b)
}

func TestSetUpPageIsFilledInOnce(t *testing.T) {
	m := startModule(t, Config{})
	base := "http://" + m.Page()
	if code, text := get(t, base+"/"); code != 200 || !strings.Contains(text, `name="secret"`) || !strings.Contains(text, "02:00:00:00:00:11") {
		t.Errorf("page: %d %s", code, text)
	}
	if code, _ := get(t, base+"/page.css"); code != 200 {
		t.Errorf("style sheet: %d", code)
	}
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	bad := goodJoin
	bad.Secret, bad.Password, bad.House = "12345678", "short", "<b>"
	r, err := client.PostForm(base+"/join", form(bad))
	if err != nil {
		t.Fatal(err)
	}
	b, _ := io.ReadAll(r.Body)
	text := string(b)
	if r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, "8 to 63 printable") || !strings.Contains(text, "everybody knows") {
		t.Errorf("%d %s", r.StatusCode, text)
	}
	if strings.Contains(text, "12345678") || strings.Contains(text, "short") || strings.Contains(text, "<b>") || !strings.Contains(text, "&lt;b&gt;") {
		t.Errorf("the page gives secrets back, or takes text for markup: %s", text)
	}
	if r, err = client.PostForm(base+"/join", form(goodJoin)); err != nil || r.StatusCode != 200 {
		t.Fatalf("%v %v", r, err)
	}
	if b, _ = io.ReadAll(r.Body); !strings.Contains(string(b), "has joined") || strings.Contains(string(b), `name="secret"`) {
		t.Errorf("after joining: %s", b)
	}
	second := goodJoin
	second.Name = "attic.box"
	if r, err = client.PostForm(base+"/join", form(second)); err != nil || r.StatusCode != http.StatusConflict {
		t.Errorf("a second set-up: %v %v", r, err)
	}
	if _, card := get(t, base+"/card.json"); !strings.Contains(card, `"name":"hall.box"`) || strings.Contains(card, goodJoin.Secret) {
		t.Errorf("card %s", card)
	}
	info, err := os.Stat(filepath.Join(m.c.Dir, joinFile))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("what was entered lies open: %v %v", info.Mode(), err)
	}
}

func TestSetUpRefusesWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		spoil func(*Join)
		why   string
	}{
		{func(j *Join) { j.Network = "" }, "network: its name has 1 to 32 octets"},
		{func(j *Join) { j.Network = strings.Repeat("ä", 17) }, "network: its name has 1 to 32 octets"}, // octets, not letters
		{func(j *Join) { j.Password = "1234567" }, "password"},
		{func(j *Join) { j.Password = strings.Repeat("x", 64) }, "password"},
		{func(j *Join) { j.Password = "mühlenweg" }, "password"},
		{func(j *Join) { j.House = "a/b" }, "house"},
		{func(j *Join) { j.Name = "_site" }, "name"},
		{func(j *Join) { j.Name = "hall/#" }, "name"},
		{func(j *Join) { j.Broker = "192.0.2.1" }, "broker"},
		{func(j *Join) { j.Secret = "kR7mWq2" }, "8 to 128"},
		{func(j *Join) { j.Secret = "aaaaaaaaab" }, "too few different"},
		{func(j *Join) { j.Secret = "Password" }, "everybody knows"},
		{func(j *Join) { j.Secret = j.Password }, "same as another entry"},
		{func(j *Join) { j.Secret = "Mill-Lane" }, "same as another entry"},
	} {
		j := goodJoin
		c.spoil(&j)
		if err := j.Check(); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%+v: %v, want %q", j, err, c.why)
		}
	}
	if err := goodJoin.Check(); err != nil {
		t.Error(err)
	}
	// IEEE 802.11: 63 printable characters are the most that a passphrase may have.
	j := goodJoin
	j.Password = strings.Repeat("x", 63)
	if err := j.Check(); err != nil {
		t.Error(err)
	}
}

func TestSetUpClosesAfterAWhile(t *testing.T) {
	m := startModule(t, Config{})
	m.mu.Lock()
	m.since = time.Now().Add(-setupLimit - time.Second)
	m.mu.Unlock()
	if err := m.Join(goodJoin); err == nil || !strings.Contains(err.Error(), "off and on again") {
		t.Errorf("error %v", err)
	}
	for _, on := range []bool{false, true} {
		if err := m.Power(on); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Join(goodJoin); err != nil {
		t.Error(err)
	}
}

// TestPageIsReachedFromNoOtherPage: a browser that another site sends here shows its own Host or Origin.
func TestPageIsReachedFromNoOtherPage(t *testing.T) {
	m := startModule(t, Config{Token: "bench-token"})
	for _, c := range []struct {
		name, path, host, origin, token string
		want                            int
	}{
		{"plain", "/card.json", "", "", "", 200},
		{"another name for this address", "/card.json", "rebound.example", "", "", http.StatusMisdirectedRequest},
		{"from another page", "/card.json", "", "http://elsewhere.example", "", http.StatusForbidden},
		{"from its own page", "/card.json", "", "http://" + m.Page(), "", 200},
		{"bench without token", "/bench/look", "", "", "", http.StatusForbidden},
		{"bench with a wrong token", "/bench/look", "", "", "bench-tokem", http.StatusForbidden},
		{"bench", "/bench/look", "", "", "bench-token", 200},
	} {
		r, _ := http.NewRequest(http.MethodGet, "http://"+m.Page()+c.path, nil)
		if c.host != "" {
			r.Host = c.host
		}
		if c.origin != "" {
			r.Header.Set("Origin", c.origin)
		}
		r.Header.Set("Bench-Token", c.token)
		a, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		a.Body.Close()
		if a.StatusCode != c.want {
			t.Errorf("%s: %s", c.name, a.Status)
		}
		if !strings.Contains(a.Header.Get("Content-Security-Policy"), "default-src 'none'") {
			t.Errorf("%s: no content policy", c.name)
		}
	}
	without := startModule(t, Config{})
	if code, _ := get(t, "http://"+without.Page()+"/bench/look"); code != 404 {
		t.Errorf("a module without a bench has one: %d", code)
	}
}

func TestWithoutPowerNothingAnswers(t *testing.T) {
	m := startModule(t, Config{})
	if err := m.Power(false); err != nil {
		t.Fatal(err)
	}
	if r, err := http.Get("http://" + m.Page() + "/card.json"); err == nil {
		t.Errorf("answered %s", r.Status)
	}
}

func TestBenchKnowsTheChannels(t *testing.T) {
	m := startModule(t, Config{Token: "x"})
	if err := m.put(handRequest{Channel: "temp1", Value: 2150}); err != nil {
		t.Error(err)
	}
	for _, channel := range []string{"out1", "in9", ""} {
		if err := m.put(handRequest{Channel: channel}); err == nil {
			t.Errorf("%q is no input, and was set", channel)
		}
	}
	if err := m.wind(handRequest{MS: -1}); err == nil {
		t.Error("the clock was wound back")
	}
	want := map[string]int32{"temp1": 2150, "in1": 0, "out1": 0}
	for _, r := range m.hardware.readings() {
		if r.Value != want[r.Name] || r.Known != (r.Name != "out1") {
			t.Errorf("%+v", r)
		}
	}
}
