package virtual

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
)

// Look sees what the module shows.
func (m *Member) Look(ctx context.Context) (Look, error) {
	return m.call(ctx, http.MethodGet, "look", nil)
}

// Put sets what an input of the module reads; module is empty for the controller's own.
func (m *Member) Put(ctx context.Context, module, channel string, value int32) error {
	_, err := m.act(ctx, "put", handRequest{Module: module, Channel: channel, Value: value})
	return err
}

// Power plugs the module in or pulls its plug.
func (m *Member) Power(ctx context.Context, on bool) error {
	_, err := m.act(ctx, "power", handRequest{On: on})
	return err
}

// Radio takes the module out of reach, or back.
func (m *Member) Radio(ctx context.Context, on bool) error {
	_, err := m.act(ctx, "radio", handRequest{On: on})
	return err
}

// Factory resets the module to how it left the factory.
func (m *Member) Factory(ctx context.Context) error {
	_, err := m.act(ctx, "factory", handRequest{})
	return err
}

// act posts to the bench.
func (m *Member) act(ctx context.Context, name string, h handRequest) (Look, error) {
	return m.call(ctx, http.MethodPost, name, &h)
}

// call speaks with the bench of the module.
func (m *Member) call(ctx context.Context, method, name string, h *handRequest) (Look, error) {
	var l Look
	body, err := json.Marshal(h)
	if err != nil {
		return l, fmt.Errorf("bench: %w", err)
	}
	page := m.Page()
	r, err := http.NewRequestWithContext(ctx, method, "http://"+page+"/bench/"+name, bytes.NewReader(body))
	if err != nil {
		return l, fmt.Errorf("bench: %w", err)
	}
	r.Header.Set("Bench-Token", m.Config.Token)
	r.Header.Set("Content-Type", "application/json")
	answer, err := m.fleet.client.Do(r)
	if err != nil {
		return l, fmt.Errorf("bench of %s: %w", m.Config.Hardware, err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		var e struct{ Error string }
		_ = json.NewDecoder(answer.Body).Decode(&e)
		return l, fmt.Errorf("bench of %s: %s %s", m.Config.Hardware, answer.Status, e.Error)
	}
	if err := json.NewDecoder(answer.Body).Decode(&l); err != nil {
		return l, fmt.Errorf("bench of %s: %w", m.Config.Hardware, err)
	}
	return l, nil
}

// runs tells whether the process of the member is there.
func (m *Member) runs() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.cmd != nil
}
