package virtual

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/behaviour"
	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/site"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// TestMain lets this test binary be the process of a software module, as the command line is.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == Verb {
		os.Exit(Main(os.Stdin, os.Stdout, os.Stderr))
	}
	if len(os.Args) > 2 && os.Args[1] == parentVerb {
		os.Exit(parent(os.Args[2]))
	}
	os.Exit(m.Run())
}

// parentVerb makes this binary a program that starts one module and then does nothing, to be killed.
const parentVerb = "parent-of-a-module"

func parent(dir string) int {
	f, err := Launch(context.Background(), FleetOptions{Modules: []Config{{Hardware: "02:00:00:00:00:01", Type: "x", Listen: "127.0.0.1:0", Dir: dir}}})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Fprintln(os.Stdout, f.Members()[0].Page())
	select {}
}

// vault is a store of secrets in memory.
type vault struct {
	mu sync.Mutex
	m  map[string]string
}

func newVault() *vault { return &vault{m: map[string]string{}} }

func (v *vault) Seal(name, secret string) error {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.m[name] = secret
	return nil
}

func (v *vault) Open(name string) (string, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if s, ok := v.m[name]; ok {
		return s, nil
	}
	return "", site.ErrNoSecret
}

// diary is a journal in memory.
type diary struct {
	mu   sync.Mutex
	list []string
}

func (d *diary) Happened(controller string, e wire.Entry) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.list = append(d.list, fmt.Sprintf("%s %s %s %d rule=%d from=%s %s", controller, e.What, e.Slot, e.Value, e.Rule, e.From, e.Text))
}

func (d *diary) has(part string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return strings.Contains(strings.Join(d.list, "\n"), part)
}

// scene is a whole commissioning bench: broker, fleet, plan.
type scene struct {
	t       testing.TB
	ctx     context.Context
	house   *house.House
	plan    *site.Plan
	secrets *vault
	broker  *mqtt.Broker
	fleet   *Fleet
	link    *site.Link
	diary   *diary
}

// mill is the house of these tests: five Wi-Fi modules and a line head, invented.
const mill = `format: wirewright house 1
title: Mill Lane
site: {place: an invented place, latitude: 48.2082 °, longitude: 16.3738 °, zone: Europe/Vienna}
network: {name: mill-lane}
storeys: [{id: ground, elevation: 0 m}]
rooms: [{id: hall, storey: ground}, {id: study, storey: ground}, {id: stairs, storey: ground}, {id: cellar, storey: ground}]
boards: [{id: board1, room: cellar, rows: 2, units: 12}]
points:
  - {id: hall.lamp, kind: lamp, room: hall, load: {category: led, power: 12 W}}
  - {id: hall.keys, kind: keypad, room: hall, keys: [Hall, All off]}
  - {id: stairs.lamp, kind: lamp, room: stairs, load: {category: led, power: 12 W}}
  - {id: stairs.keys, kind: keypad, room: stairs, keys: [Stairs, Hall, Shutter]}
  - {id: study.shutter, kind: shutter, room: study, travel: {up: 22 s, down: 20 s}}
  - {id: study.lamp, kind: lamp, room: study, load: {category: led, power: 12 W, dimmed: true}}
  - {id: cellar.lamp, kind: lamp, room: cellar, load: {category: led, power: 12 W}}
  - {id: cellar.keys, kind: keypad, room: cellar, keys: [Cellar, Hall]}
modules:
  - {id: hall.box, type: relay-wifi-2x5-in2, room: hall, landings: [{channel: out1, point: hall.lamp}, {channel: in1, point: hall.keys, key: 1}, {channel: in2, point: hall.keys, key: 2}]}
  - {id: stairs.box, type: relay-wifi-4x5-in4, room: stairs, landings: [{channel: out1, point: stairs.lamp}, {channel: in1, point: stairs.keys, key: 1}, {channel: in2, point: stairs.keys, key: 2}, {channel: in3, point: stairs.keys, key: 3}]}
  - {id: study.box, type: shutter-wifi-1x350-in2, room: study, landings: [{channel: sh1, point: study.shutter}]}
  - {id: study.dimmer, type: dimmer-wifi-1x150-in2, room: study, landings: [{channel: dim1, point: study.lamp}]}
  - {id: board1.head, type: head-rail, board: board1, row: 1, slot: 1}
  - {id: board1.in, type: input-rail-16, board: board1, row: 1, slot: 5, landings: [{channel: in1, point: cellar.keys, key: 1}, {channel: in2, point: cellar.keys, key: 2}]}
  - {id: board1.relays, type: relay-rail-8x10, board: board1, row: 2, slot: 1, landings: [{channel: out1, point: cellar.lamp}]}
  - {id: spare.box, type: relay-wifi-1x5-in1, room: hall}
lines:
  - {id: line1, head: board1.head, taps: [{module: board1.head}, {module: board1.in}, {module: board1.relays}]}
behaviour: |
  rule hall: when hall.keys.1 is pressed: toggle hall.lamp
  rule stairs: when stairs.keys.1 is pressed: toggle stairs.lamp
  rule far: when stairs.keys.2 is pressed: turn on hall.lamp
  rule shutter: when stairs.keys.3 is pressed: lower study.shutter
  rule cellar: when cellar.keys.1 is pressed: turn on cellar.lamp; turn off cellar.lamp after 3 min
  rule up: when cellar.keys.2 is pressed: toggle hall.lamp
  rule night: when hall.keys.2 is pressed: turn off all lamps
  rule evening: at 21:30: turn on study.lamp
  rule bell: when message "doorbell" arrives: turn on stairs.lamp
`

func readHouse(t testing.TB, text string) (*house.House, *catalogue.Catalogue, *behaviour.Compiled) {
	t.Helper()
	h, err := house.Read("mill.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	c, problems := behaviour.Compile(h, cat)
	if len(problems) > 0 {
		t.Fatalf("mistakes:\n%v", problems)
	}
	return h, cat, c
}

// setScene makes plan, broker and fleet of a house; all modules are new.
func setScene(t testing.TB, text string) *scene {
	t.Helper()
	s := &scene{t: t, secrets: newVault(), diary: &diary{}}
	var cancel context.CancelFunc
	s.ctx, cancel = context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	h, cat, c := readHouse(t, text)
	s.house = h
	plan, err := site.NewPlan(h, cat, c, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.plan = plan
	if plan.Network == "" {
		plan.Network = "bench"
	}
	if err := site.SetNetwork(s.secrets, "mill race 1871"); err != nil {
		t.Fatal(err)
	}
	accounts, err := site.NewAccounts(plan, s.secrets, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if s.broker, err = mqtt.StartBroker(mqtt.BrokerOptions{House: plan.House, Accounts: accounts}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.broker.Close() })
	plan.Broker = s.broker.Address()
	configs, err := Configs(plan, h, cat, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	var fault io.Writer = os.Stderr
	if s.fleet, err = Launch(s.ctx, FleetOptions{Modules: configs, Fault: fault}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.fleet.Close)
	return s
}

// pages lists the set-up pages by controller: the fleet is made in the order of the plan.
func (s *scene) pages() map[string]string {
	m := map[string]string{}
	for i, k := range s.fleet.Members() {
		m[s.plan.Controllers[i].ID] = k.Page()
	}
	return m
}

func (s *scene) enrol() {
	s.t.Helper()
	_, err := site.EnrolAll(s.ctx, s.pages(), site.EnrolOptions{Plan: s.plan, Secrets: s.secrets, Random: rand.Reader}, nil)
	if err != nil {
		s.t.Fatal(err)
	}
}

func (s *scene) connect() {
	s.t.Helper()
	var err error
	if s.link, err = site.Connect(s.ctx, site.LinkOptions{Plan: s.plan, Secrets: s.secrets, Journal: s.diary}); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(s.link.Close)
	if err := site.AwaitAll(s.ctx, s.link, 10*time.Second); err != nil {
		s.t.Fatal(err)
	}
}

func (s *scene) load() uint32 {
	s.t.Helper()
	epoch, err := site.Load(s.ctx, s.link, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	return epoch
}

// member is the module of a controller.
func (s *scene) member(id string) *Member {
	for i := range s.plan.Controllers {
		if s.plan.Controllers[i].ID == id {
			return s.fleet.Members()[i]
		}
	}
	s.t.Fatalf("no controller %s", id)
	return nil
}

func (s *scene) until(what string, holds func() bool) {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(s.ctx, 10*time.Second)
	defer cancel()
	if !s.link.Until(ctx, holds) {
		s.t.Fatalf("did not come: %s\n%s", what, strings.Join(s.diary.list, "\n"))
	}
}

// value is what a slot was last told to be, control.Unknown for nothing.
func (s *scene) value(name string) int32 {
	c, _, ok := s.plan.Owner(name)
	if !ok {
		s.t.Fatalf("nobody owns %s", name)
	}
	v, ok := s.link.State(c.ID, name)
	if !ok {
		return control.Unknown
	}
	return int32(v.Value)
}

func folder(t testing.TB, name string) string { return filepath.Join(t.TempDir(), name) }

func houseID(s string) house.ID { return house.ID(s) }
