package virtual

import (
	"context"
	"errors"
	"fmt"
)

// Look sees everything that the module shows.
func (m *Member) Look(ctx context.Context) (Look, error) {
	return m.act(ctx, handRequest{Act: actLook})
}

// Put sets what an input of the module reads; module is empty for the controller's own.
func (m *Member) Put(ctx context.Context, module, channel string, value int32) error {
	_, err := m.act(ctx, handRequest{Act: actPut, Module: module, Channel: channel, Value: value})
	return err
}

// Power plugs the module in or pulls its plug.
func (m *Member) Power(ctx context.Context, on bool) error {
	_, err := m.act(ctx, handRequest{Act: actPower, On: on})
	return err
}

// Radio takes the module out of reach, or back.
func (m *Member) Radio(ctx context.Context, on bool) error {
	_, err := m.act(ctx, handRequest{Act: actRadio, On: on})
	return err
}

// Factory resets the module to how it left the factory.
func (m *Member) Factory(ctx context.Context) error {
	_, err := m.act(ctx, handRequest{Act: actFactory})
	return err
}

// errNoProcess is why nothing can be done at a bench.
var errNoProcess = errors.New("its process does not run")

// act does something at the bench of the module.
func (m *Member) act(ctx context.Context, h handRequest) (Look, error) {
	p := m.running()
	if p == nil {
		return Look{}, fmt.Errorf("bench of %s: %w", m.Config.Hardware, errNoProcess)
	}
	l, err := p.act(ctx, h)
	if err != nil {
		return l, fmt.Errorf("bench of %s: %w", m.Config.Hardware, err)
	}
	return l, nil
}

// seen is what was last seen of the module, without asking.
func (m *Member) seen() Look {
	if p := m.running(); p != nil {
		return p.seen()
	}
	return Look{}
}
