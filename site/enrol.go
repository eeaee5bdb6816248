package site

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"sync"
	"time"
)

// Device is a module that was met: at its set-up page, by discovery, or at an address that somebody entered.
type Device struct {
	Hardware string `json:"hardware"`
	Type     string `json:"type"`
	Firmware string `json:"firmware"`
	Setup    bool   `json:"setup"` // waits to be set up
	Name     string `json:"name"`  // in the house, once it has joined
	House    string `json:"house"`
	Page     string `json:"-"` // where it was met, host:port
}

// EnrolOptions is what Enrol gives to a module.
type EnrolOptions struct {
	Plan    *Plan
	Secrets Secrets   // the network's password is sealed as "network"
	Random  io.Reader // crypto/rand.Reader; tests pass their own
	Client  *http.Client
}

// pageLimit bounds one exchange with a module's page; pageMost what it may answer.
const (
	pageLimit = 5 * time.Second
	pageMost  = 64 << 10
)

// SetNetwork seals the password of the Wi-Fi network, which Enrol hands to modules (IEEE 802.11: 8 to 63 printable ASCII
// characters).
func SetNetwork(s Secrets, password string) error {
	if len(password) < 8 || len(password) > 63 {
		return fmt.Errorf("the password of the network has %d characters: 8 to 63 are expected", len(password))
	}
	for _, c := range []byte(password) {
		if c < 0x20 || c > 0x7e {
			return errors.New("the password of the network must be printable ASCII")
		}
	}
	return s.Seal(networkSecret, password)
}

// Enrol gives the module at a page (host:port) its network, its name in the house and a secret of its own. It can be taken
// up again at any point: the secret is sealed before the module gets it, and a module that has joined under this name is
// content.
func Enrol(ctx context.Context, page, controller string, o EnrolOptions) (Device, error) {
	c := o.Plan.Controller(controller)
	if c == nil {
		return Device{}, fmt.Errorf("enrol %s: the plan has no such controller", controller)
	}
	d, err := Visit(ctx, o.Client, page)
	if err != nil {
		return d, fmt.Errorf("enrol %s: %w", controller, err)
	}
	switch {
	case d.Type != c.Type:
		return d, fmt.Errorf("enrol %s: the module at %s is a %s, the plan has a %s there", controller, page, d.Type, c.Type)
	case c.Hardware != "" && c.Hardware != d.Hardware:
		return d, fmt.Errorf("enrol %s: the module at %s has the identity %s, the plan has %s there", controller, page, d.Hardware, c.Hardware)
	case !d.Setup && d.Name == controller && d.House == o.Plan.House:
		return d, nil
	case !d.Setup:
		return d, fmt.Errorf("enrol %s: the module at %s has joined already, as %s in %s; reset it to the factory state first", controller, page, d.Name, d.House)
	}
	if o.Plan.Network == "" {
		return d, fmt.Errorf("enrol %s: the house names no Wi-Fi network; write network: {name: …}", controller)
	}
	password, err := o.Secrets.Open(networkSecret)
	if err != nil {
		return d, fmt.Errorf("enrol %s: password of the network: %w", controller, err)
	}
	secret, err := secretFor(o.Plan, o.Secrets, o.Random, moduleSecret(controller))
	if err != nil {
		return d, fmt.Errorf("enrol %s: %w", controller, err)
	}
	body, err := json.Marshal(map[string]string{"network": o.Plan.Network, "password": password, "house": o.Plan.House,
		"broker": o.Plan.Broker, "name": controller, "secret": secret})
	if err != nil {
		return d, fmt.Errorf("enrol %s: %w", controller, err)
	}
	joined, err := exchange(ctx, o.Client, http.MethodPost, page, "/join", body)
	if err != nil {
		return d, fmt.Errorf("enrol %s: %w", controller, err)
	}
	return joined, nil
}

// Visit reads who the module at a page is: the way to "enter an address" where discovery does not reach.
func Visit(ctx context.Context, client *http.Client, page string) (Device, error) {
	return exchange(ctx, client, http.MethodGet, page, "/card.json", nil)
}

// exchange speaks with a module's page.
func exchange(ctx context.Context, client *http.Client, method, page, path string, body []byte) (Device, error) {
	var d Device
	ctx, cancel := context.WithTimeout(ctx, pageLimit)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, method, "http://"+page+path, bytes.NewReader(body))
	if err != nil {
		return d, fmt.Errorf("%q is no address of a page: host:port is expected", page)
	}
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if client == nil {
		client = http.DefaultClient
	}
	answer, err := client.Do(r)
	if err != nil {
		return d, fmt.Errorf("page at %s: %w", page, err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(io.LimitReader(answer.Body, pageMost))
	if err != nil {
		return d, fmt.Errorf("page at %s: %w", page, err)
	}
	if answer.StatusCode != http.StatusOK {
		var e struct{ Error string }
		_ = json.Unmarshal(text, &e) // without a reason the status must do
		return d, fmt.Errorf("page at %s: %s %s", page, answer.Status, e.Error)
	}
	if err := json.Unmarshal(text, &d); err != nil || d.Hardware == "" {
		return d, fmt.Errorf("page at %s: what answers there is no module of ours", page)
	}
	d.Page = page
	return d, nil
}

// EnrolAll enrols several modules, a few at a time: page by controller. It tells each, and all errors at the end. On a real
// site modules are enrolled one by one, each on its own set-up network; software modules stand side by side.
func EnrolAll(ctx context.Context, pages map[string]string, o EnrolOptions, tell Progress) (map[string]Device, error) {
	var mu sync.Mutex
	devices := map[string]Device{}
	var ids []string
	for i := range o.Plan.Controllers {
		if _, ok := pages[o.Plan.Controllers[i].ID]; ok {
			ids = append(ids, o.Plan.Controllers[i].ID)
		}
	}
	// Secrets are made one after the other, so that two never get the same and the store is not raced for.
	for _, id := range ids {
		if _, err := secretFor(o.Plan, o.Secrets, o.Random, moduleSecret(id)); err != nil {
			return nil, fmt.Errorf("enrol %s: %w", id, err)
		}
	}
	err := each(ids, func(id string) error {
		d, err := Enrol(ctx, pages[id], id, o)
		mu.Lock()
		defer mu.Unlock()
		if err == nil {
			devices[id] = d
		}
		tell.tell(Step{Act: "enrol", Controller: id, Done: len(devices), All: len(ids), Err: err})
		return err
	})
	return devices, err
}

// atOnce is how many controllers are spoken with at the same time.
const atOnce = 16

// each does something for every name, several at a time, and tells all errors in the order of the names.
func each(names []string, do func(string) error) error {
	errs := make([]error, len(names))
	gate := make(chan struct{}, atOnce)
	var all sync.WaitGroup
	for i, n := range names {
		gate <- struct{}{}
		all.Go(func() {
			defer func() { <-gate }()
			errs[i] = do(n)
		})
	}
	all.Wait()
	return errors.Join(errs...)
}
