package standin

import (
	"context"
	"crypto/rand"
	"errors"
	"net"
	"sync"
	"testing"
	"time"

	library "github.com/simonvetter/modbus"

	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/internal/pause"
	"wirewright/site"
	"wirewright/site/agent"
	"wirewright/site/field/modbus"
	"wirewright/site/field/mqtt"
)

// plc is a device behind an independent Modbus server: eight coils and eight discrete inputs.
type plc struct {
	mu     sync.Mutex
	coils  [8]bool
	inputs [8]bool
	deaf   bool
}

func (p *plc) HandleCoils(r *library.CoilsRequest) ([]bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case p.deaf:
		return nil, library.ErrServerDeviceBusy
	case int(r.Addr)+int(r.Quantity) > len(p.coils):
		return nil, library.ErrIllegalDataAddress
	case r.IsWrite:
		copy(p.coils[r.Addr:], r.Args)
	}
	return append([]bool(nil), p.coils[r.Addr:r.Addr+r.Quantity]...), nil
}

func (p *plc) HandleDiscreteInputs(r *library.DiscreteInputsRequest) ([]bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if int(r.Addr)+int(r.Quantity) > len(p.inputs) {
		return nil, library.ErrIllegalDataAddress
	}
	return append([]bool(nil), p.inputs[r.Addr:r.Addr+r.Quantity]...), nil
}

func (p *plc) HandleHoldingRegisters(*library.HoldingRegistersRequest) ([]uint16, error) {
	return nil, library.ErrIllegalFunction
}

func (p *plc) HandleInputRegisters(*library.InputRegistersRequest) ([]uint16, error) {
	return nil, library.ErrIllegalFunction
}

func (p *plc) coil(i int) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.coils[i]
}

func (p *plc) set(f func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	f()
}

// kind is a device of another make with one relay and one contact.
func kind() *catalogue.Type {
	return &catalogue.Type{ID: "other-make", Medium: catalogue.Gateway, Channels: []catalogue.ChannelGroup{{Kind: catalogue.Relay, Count: 1}, {Kind: catalogue.Input, Count: 1}},
		Driver: &catalogue.Driver{Modbus: []catalogue.ModbusMap{{Channel: "out1", Table: "coil", Address: 3}, {Channel: "in1", Table: "discrete", Address: 5}}}}
}

// gateProgram toggles the gate's lamp when its contact closes.
func gateProgram(t *testing.T) *control.Program {
	p := &control.Program{Controller: "gate.plc", Texts: []string{"gate"}, Slots: []control.Slot{
		{Name: "gate.lamp", Kind: control.SlotSwitch, Publish: true, Peer: -1, Remote: -1, Schedule: -1, Module: "gate.plc", Channel: "out1"},
		{Name: "gate.contact", Kind: control.SlotInput, Publish: true, Peer: -1, Remote: -1, Schedule: -1, Start: control.Unknown, Module: "gate.plc", Channel: "in1"},
	}}
	p.Causes = []control.Cause{{Kind: control.CauseRise, Slot: 1}}
	p.Actions = []control.Action{{Kind: control.ActionToggle, Index: 0}}
	p.Rules = []control.Rule{{Causes: control.Range{Count: 1}, Actions: control.Range{Count: 1}}}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	return p
}

type safe struct {
	mu sync.Mutex
	m  map[string]string
}

func (s *safe) Seal(name, secret string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.m[name] = secret
	return nil
}

func (s *safe) Open(name string) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if v, ok := s.m[name]; ok {
		return v, nil
	}
	return "", site.ErrNoSecret
}

// TestDeviceOfAnotherMakeIsAControllerOfTheHouse loads a program onto the stand-in of a Modbus device; a contact of the
// device switches its coil, and so does a person.
func TestDeviceOfAnotherMakeIsAControllerOfTheHouse(t *testing.T) {
	device := &plc{}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Addr().String()
	l.Close()
	server, err := library.NewServer(&library.ServerConfiguration{URL: "tcp://" + address, Timeout: 10 * time.Second}, device)
	if err != nil {
		t.Fatal(err)
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	defer server.Stop()
	driver, err := modbus.OpenDevice(address, kind().Driver.Modbus, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer driver.Close()

	plan := &site.Plan{House: "mill", Controllers: []site.Controller{{ID: "gate.plc", Type: "other-make", Foreign: true}}}
	plan.Place.Zone = "UTC"
	plan.Controllers[0].SetProgram(gateProgram(t))
	secrets := &safe{m: map[string]string{"module/gate.plc": "gate-secret-12345"}}
	accounts, err := site.NewAccounts(plan, secrets, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	broker, err := mqtt.StartBroker(mqtt.BrokerOptions{House: "mill", Accounts: accounts})
	if err != nil {
		t.Fatal(err)
	}
	defer broker.Close()
	plan.Broker = broker.Address()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	faults := make(chan error, 100)
	s, err := Start(ctx, Options{Type: kind(), Device: driver, Poll: 5 * time.Millisecond, Fault: func(err error) { faults <- err },
		Agent: agent.Options{House: "mill", Controller: "gate.plc", Hardware: address, Type: "other-make", Firmware: "stand-in", Broker: broker.Address(),
			Secret: "gate-secret-12345", Dir: t.TempDir()}})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	link, err := site.Connect(ctx, site.LinkOptions{Plan: plan, Secrets: secrets})
	if err != nil {
		t.Fatal(err)
	}
	defer link.Close()
	if err := site.AwaitAll(ctx, link, 5*time.Second); err != nil {
		t.Fatal(err)
	}
	if _, err := site.Load(ctx, link, nil); err != nil {
		t.Fatal(err)
	}
	until := func(what string, holds func() bool) {
		t.Helper()
		for !holds() {
			if !pause.For(ctx, 2*time.Millisecond) {
				t.Fatalf("did not come: %s", what)
			}
		}
	}
	value := func() int32 {
		v, ok := link.State("gate.plc", "gate.lamp")
		if !ok {
			return control.Unknown
		}
		return int32(v.Value)
	}
	until("loaded", func() bool { return value() == 0 })
	device.set(func() { device.inputs[5] = true })
	until("the contact switches the coil", func() bool { return device.coil(3) && value() == 1 })
	device.set(func() { device.deaf = true })
	if err := link.Command(ctx, site.Order{Name: "gate.lamp", Verb: control.VerbSet, Value: 0, Sent: time.Now()}); err != nil {
		t.Fatal(err)
	}
	if err := <-faults; !errors.Is(err, library.ErrServerDeviceBusy) {
		t.Errorf("fault %v", err)
	}
	if !device.coil(3) {
		t.Error("a deaf device was switched")
	}
	device.set(func() { device.deaf = false })
	until("it is tried again", func() bool { return !device.coil(3) })
}
