package modbus

import (
	"errors"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/simonvetter/modbus"

	"wirewright/catalogue"
	"wirewright/site/field"
)

// bank is a device behind an independent Modbus server: four coils, four holding registers, four input registers, four
// discrete inputs.
type bank struct {
	mu       sync.Mutex
	coils    [4]bool
	holding  [4]uint16
	input    [4]uint16
	discrete [4]bool
}

func (b *bank) HandleCoils(r *modbus.CoilsRequest) ([]bool, error) {
	return cells(&b.mu, b.coils[:], r.Addr, r.Quantity, r.IsWrite, r.Args)
}

func (b *bank) HandleDiscreteInputs(r *modbus.DiscreteInputsRequest) ([]bool, error) {
	return cells(&b.mu, b.discrete[:], r.Addr, r.Quantity, false, nil)
}

func (b *bank) HandleHoldingRegisters(r *modbus.HoldingRegistersRequest) ([]uint16, error) {
	return cells(&b.mu, b.holding[:], r.Addr, r.Quantity, r.IsWrite, r.Args)
}

func (b *bank) HandleInputRegisters(r *modbus.InputRegistersRequest) ([]uint16, error) {
	return cells(&b.mu, b.input[:], r.Addr, r.Quantity, false, nil)
}

func cells[T any](mu *sync.Mutex, list []T, first, count uint16, write bool, args []T) ([]T, error) {
	mu.Lock()
	defer mu.Unlock()
	if int(first)+int(count) > len(list) {
		return nil, modbus.ErrIllegalDataAddress
	}
	if write {
		copy(list[first:], args)
	}
	return append([]T(nil), list[first:first+count]...), nil
}

func startServer(t *testing.T, b *bank) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Addr().String()
	l.Close()
	s, err := modbus.NewServer(&modbus.ServerConfiguration{URL: "tcp://" + address, Timeout: 10 * time.Second, MaxClients: 5}, b)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Stop() })
	return address
}

var maps = []catalogue.ModbusMap{
	{Channel: "out1", Table: "coil", Address: 1},
	{Channel: "in1", Table: "discrete", Address: 2},
	{Channel: "dim1", Table: "holding", Address: 3, Scale: 10}, // the device counts percent, we thousandths
	{Channel: "temp1", Table: "input", Address: 0, Scale: 10},  // the device counts tenths of a degree, we hundredths
	{Channel: "out9", Table: "coil", Address: 9},
}

func TestChannelsAreDrivenAndReadBack(t *testing.T) {
	b := &bank{}
	b.input[0], b.discrete[2] = 215, true
	d, err := OpenDevice(startServer(t, b), maps, 2*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	var _ field.Device = d
	for _, c := range []struct {
		channel string
		value   int32
	}{{"out1", 1}, {"dim1", 340}, {"out1", 0}, {"out1", 1}} {
		if err := d.Write(t.Context(), c.channel, c.value); err != nil {
			t.Fatal(err)
		}
		if got, err := d.Read(t.Context(), c.channel); err != nil || got != c.value {
			t.Errorf("%s: wrote %d, read %d (%v)", c.channel, c.value, got, err)
		}
	}
	if b.coils != [4]bool{false, true} || b.holding != [4]uint16{0, 0, 0, 34} {
		t.Errorf("the device holds %v %v", b.coils, b.holding)
	}
	for channel, want := range map[string]int32{"temp1": 2150, "in1": 1} {
		if got, err := d.Read(t.Context(), channel); err != nil || got != want {
			t.Errorf("%s: %d (%v), want %d", channel, got, err, want)
		}
	}
}

func TestMistakesAreExplained(t *testing.T) {
	d, err := OpenDevice(startServer(t, &bank{}), maps, 2*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	_, err = d.Read(t.Context(), "out9")
	if !errors.Is(err, modbus.ErrIllegalDataAddress) || !strings.Contains(err.Error(), "no such address") {
		t.Errorf("error %v", err)
	}
	for _, c := range []struct {
		err error
		why string
	}{
		{d.Write(t.Context(), "temp1", 1), "only read"},
		{d.Write(t.Context(), "out2", 1), "no mapping"},
		{d.Write(t.Context(), "dim1", 1_000_000), "outside"},
		{d.Write(t.Context(), "dim1", -10), "outside"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.why) {
			t.Errorf("%v, want %q", c.err, c.why)
		}
	}
	for _, m := range []catalogue.ModbusMap{{Channel: "a", Table: "register"}, {Channel: "a", Table: "coil", Address: 65536}, {Channel: "a", Table: "coil", Address: -1}} {
		if _, err := OpenDevice("127.0.0.1:1", []catalogue.ModbusMap{m}, time.Second); err == nil {
			t.Errorf("%+v was taken", m)
		}
	}
}
