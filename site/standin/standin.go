// Package standin executes for devices of other makes, which cannot run a program: it is a controller of the house like any
// other (package site/agent), and its channels are those of the device, reached through the mapping in the catalogue
// (package site/field and the drivers beside it).
//
// What the program drives is written to the device in order, the newest value of a channel only; what the device reads is
// asked for again and again. A device that does not answer is told to whoever started the stand-in, and tried again: the
// house goes on without it.
package standin

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"wirewright/catalogue"
	"wirewright/internal/pause"
	"wirewright/site/agent"
	"wirewright/site/field"
)

// Times of a stand-in where Options leave them out.
const (
	pollPause  = 500 * time.Millisecond
	callLimit  = 2 * time.Second
	retryPause = time.Second
)

// Options is what a stand-in stands in for.
type Options struct {
	Agent  agent.Options // Channels are made here
	Type   *catalogue.Type
	Device field.Device
	Poll   time.Duration // between two looks at the inputs; 500 ms where 0
	Fault  func(error)   // told what the device refused, or that it does not answer; nil is allowed
}

// StandIn is a running stand-in.
type StandIn struct {
	o      Options
	agent  *agent.Agent
	cancel context.CancelFunc
	done   sync.WaitGroup

	mu     sync.Mutex
	inputs map[string]int32 // last read, by channel
	want   map[string]int32 // to be written, by channel
	order  []string         // of what is to be written
	news   chan struct{}
}

// Start begins to stand in, until Close.
func Start(ctx context.Context, o Options) (*StandIn, error) {
	if o.Device == nil || o.Type == nil {
		return nil, fmt.Errorf("stand-in for %s: a type and a device are needed", o.Agent.Controller)
	}
	if o.Poll == 0 {
		o.Poll = pollPause
	}
	if o.Fault == nil {
		o.Fault = func(error) {}
	}
	s := &StandIn{o: o, inputs: map[string]int32{}, want: map[string]int32{}, news: make(chan struct{}, 1)}
	ctx, s.cancel = context.WithCancel(ctx)
	o.Agent.Channels = s
	var err error
	if s.agent, err = agent.Start(ctx, o.Agent); err != nil {
		s.cancel()
		return nil, err
	}
	s.done.Go(func() { s.write(ctx) })
	s.done.Go(func() { s.poll(ctx) })
	return s, nil
}

// Await waits until the stand-in is connected.
func (s *StandIn) Await(ctx context.Context) error { return s.agent.Await(ctx) }

// Close ends the stand-in in order; the device stays as it is.
func (s *StandIn) Close() {
	s.agent.Close()
	s.cancel()
	s.done.Wait()
}

// Has implements agent.Channels.
func (s *StandIn) Has(module, channel string) bool {
	_, ok := s.o.Type.Channel(channel)
	return ok && module == s.o.Agent.Controller
}

// Output implements agent.Channels. A fade is left to the device, which gets the value that is to be reached.
func (s *StandIn) Output(_, channel string, value, _ int32) { s.put(channel, value) }

// Motor implements agent.Channels: 1 is up, 2 down, 0 still.
func (s *StandIn) Motor(_, channel string, direction int32) {
	s.put(channel, map[int32]int32{-1: 1, 0: 0, 1: 2}[direction])
}

// Input implements agent.Channels.
func (s *StandIn) Input(_, channel string) (int32, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v, ok := s.inputs[channel]
	return v, ok
}

// put notes what is to be written; a value that was not written yet is replaced.
func (s *StandIn) put(channel string, value int32) {
	s.mu.Lock()
	if !slices.Contains(s.order, channel) {
		s.order = append(s.order, channel)
	}
	s.want[channel] = value
	s.mu.Unlock()
	select {
	case s.news <- struct{}{}:
	default:
	}
}

// take is the next thing to write.
func (s *StandIn) take() (channel string, value int32, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.order) == 0 {
		return "", 0, false
	}
	channel = s.order[0]
	s.order = s.order[1:]
	return channel, s.want[channel], true
}

// write carries values to the device. One that the device does not take is tried again, unless there is a newer one.
func (s *StandIn) write(ctx context.Context) {
	for {
		channel, value, ok := s.take()
		if !ok {
			select {
			case <-s.news:
				continue
			case <-ctx.Done():
				return
			}
		}
		limit, cancel := context.WithTimeout(ctx, callLimit)
		err := s.o.Device.Write(limit, channel, value)
		cancel()
		if err == nil {
			continue
		}
		s.o.Fault(err)
		s.mu.Lock()
		if !slices.Contains(s.order, channel) {
			s.order = append(s.order, channel)
		}
		s.mu.Unlock()
		if !pause.For(ctx, retryPause) {
			return
		}
	}
}

// poll looks at the inputs again and again and tells the program what changed.
func (s *StandIn) poll(ctx context.Context) {
	for {
		for _, c := range s.o.Type.ChannelList() {
			if c.Group.Kind.Output() {
				continue
			}
			limit, cancel := context.WithTimeout(ctx, callLimit)
			v, err := s.o.Device.Read(limit, c.Name)
			cancel()
			switch {
			case ctx.Err() != nil:
				return
			case err != nil:
				s.o.Fault(err)
			case s.changed(c.Name, v):
				s.agent.Input(s.o.Agent.Controller, c.Name, v)
			}
		}
		if !pause.For(ctx, s.o.Poll) {
			return
		}
	}
}

// changed keeps what was read; true if it is another value.
func (s *StandIn) changed(channel string, value int32) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	old, known := s.inputs[channel]
	s.inputs[channel] = value
	return !known || old != value
}
