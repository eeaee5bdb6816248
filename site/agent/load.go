package agent

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"wirewright/control"
	"wirewright/site/wire"
)

// staging is a program that is coming in.
type staging struct {
	wire.Loaded
	size int
	data []byte
}

// hearAsk answers a question of the commissioning side.
func (a *Agent) hearAsk(b []byte) {
	m, err := wire.Decode[wire.Ask](b)
	if err != nil {
		return
	}
	have := 0
	switch m.Ask {
	case wire.AskStage:
		have, err = a.stage(&m)
	case wire.AskActivate:
		err = a.activate(wire.Loaded{Epoch: m.Epoch, Digest: m.Digest})
	case wire.AskRollback:
		err = a.rollback(m.Epoch)
	}
	answer := a.answer(m.ID)
	answer.Have = have
	if err != nil {
		answer.Error = err.Error()
	}
	a.publish(wire.KindAnswer, "", wire.Encode(answer))
}

// answer says where the controller stands.
func (a *Agent) answer(id string) wire.Answer {
	return wire.Answer{ID: id, Running: a.shelf.Running, Staged: a.shelf.Staged, Previous: a.shelf.Previous, Firmware: a.o.Firmware,
		Hardware: a.o.Hardware, Type: a.o.Type, Uptime: int64((a.o.Clock.Elapsed() - a.start) / time.Millisecond)}
}

// stage takes a chunk of a program; the last one completes it, after which it is verified and kept.
func (a *Agent) stage(m *wire.Ask) (have int, err error) {
	l := wire.Loaded{Epoch: m.Epoch, Digest: m.Digest}
	if a.shelf.Staged == l {
		return m.Size, nil // complete already: a question that came twice
	}
	if l.Epoch <= a.shelf.Running.Epoch {
		return 0, fmt.Errorf("epoch %d is not above the running epoch %d", l.Epoch, a.shelf.Running.Epoch)
	}
	if a.staging.Loaded != l || a.staging.size != m.Size || m.Offset == 0 {
		a.staging = staging{Loaded: l, size: m.Size}
	}
	if m.Offset != len(a.staging.data) {
		return len(a.staging.data), fmt.Errorf("a chunk at %d was expected, not at %d", len(a.staging.data), m.Offset)
	}
	a.staging.data = append(a.staging.data, m.Data...)
	if len(a.staging.data) < a.staging.size {
		return len(a.staging.data), nil
	}
	data := a.staging.data
	a.staging = staging{}
	if err := a.verify(l.Digest, data); err != nil {
		return 0, err
	}
	return len(data), a.shelf.stage(l, data)
}

// verify holds a program against its digest and against what this controller is and has.
func (a *Agent) verify(d wire.Digest, b []byte) error {
	if sha256.Sum256(b) != d {
		return errors.New("the program does not have the digest that was named")
	}
	if a.o.BytesMost > 0 && len(b) > a.o.BytesMost {
		return fmt.Errorf("the program has %d octets: there is room for %d", len(b), a.o.BytesMost)
	}
	p, err := control.Decode(b)
	if err != nil {
		return fmt.Errorf("the program cannot be read: %w", err)
	}
	if p.Controller != a.o.Controller {
		return fmt.Errorf("the program is for %s", p.Controller)
	}
	if a.o.SlotsMost > 0 && len(p.Slots) > a.o.SlotsMost {
		return fmt.Errorf("the program has %d slots: there is room for %d", len(p.Slots), a.o.SlotsMost)
	}
	for i := range p.Slots {
		s := &p.Slots[i]
		local := s.Kind.Output() || s.Kind == control.SlotInput || s.Kind == control.SlotKey
		if local && s.Channel != "" && !a.o.Channels.Has(s.Module, s.Channel) {
			return fmt.Errorf("slot %s: this controller has no channel %s of %s", s.Name, s.Channel, s.Module)
		}
	}
	return nil
}

// activate runs the staged program. Asked again, it is content with what runs.
func (a *Agent) activate(l wire.Loaded) error {
	if a.shelf.Running.Epoch == l.Epoch {
		return nil
	}
	if a.shelf.Staged.Epoch != l.Epoch || (!l.Digest.Zero() && a.shelf.Staged.Digest != l.Digest) {
		return fmt.Errorf("epoch %d is not staged", l.Epoch)
	}
	p, err := a.shelf.program(a.shelf.Staged)
	if err != nil {
		return err
	}
	if err := a.shelf.activate(); err != nil {
		return err
	}
	a.changed(p)
	return nil
}

// rollback drops an epoch, staged or running. Asked again, it is content.
func (a *Agent) rollback(epoch uint32) error {
	if a.staging.Epoch == epoch {
		a.staging = staging{}
	}
	var p *control.Program
	var err error
	if a.shelf.Running.Epoch == epoch && a.shelf.Previous.Epoch != 0 {
		if p, err = a.shelf.program(a.shelf.Previous); err != nil {
			return err
		}
	}
	changed, err := a.shelf.rollback(epoch)
	if err == nil && changed {
		a.changed(p)
	}
	return err
}

// changed begins with another program and tells everybody.
func (a *Agent) changed(p *control.Program) {
	a.stop()
	a.install(p)
	a.sayAlive()
	a.announce()
	if a.o.Loaded != nil {
		a.o.Loaded(a.shelf.Running)
	}
}

// stop brings every motor to rest before the program that knows of it goes.
func (a *Agent) stop() {
	if a.program == nil {
		return
	}
	for i := range a.program.Slots {
		if s := &a.program.Slots[i]; s.Kind == control.SlotMotor {
			a.o.Channels.Motor(s.Module, s.Channel, 0)
		}
	}
}
