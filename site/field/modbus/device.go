// Package modbus drives devices of other makes over Modbus TCP, through the registers in their catalogue entry.
//
// A channel is one coil, discrete input, holding register or input register. Values are those of package control: a coil
// is 0 or 1, a register times its scale is the value. One request is under way at a time; each has a time limit.
//
// Sources: MODBUS Application Protocol Specification V1.1b3 (functions 01 to 06, exception codes); MODBUS Messaging on
// TCP/IP Implementation Guide V1.0b.
package modbus

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"github.com/simonvetter/modbus"

	"wirewright/catalogue"
)

// The tables of catalogue.ModbusMap.
const (
	tableCoil     = "coil"
	tableDiscrete = "discrete"
	tableHolding  = "holding"
	tableInput    = "input"
)

// unitDirect addresses the device itself behind a TCP address (Messaging on TCP/IP, 4.4.1.2 recommends 255).
const unitDirect = 255

// Device is one Modbus device, driven through its mapping.
type Device struct {
	mu      sync.Mutex
	client  *modbus.ModbusClient
	address string
	maps    []catalogue.ModbusMap
}

// OpenDevice connects to a device at host:port (the port of the standard is 502). Every request ends within limit.
func OpenDevice(address string, maps []catalogue.ModbusMap, limit time.Duration) (*Device, error) {
	for _, m := range maps {
		if err := check(m); err != nil {
			return nil, err
		}
	}
	c, err := modbus.NewClient(&modbus.ClientConfiguration{URL: "tcp://" + address, Timeout: limit})
	if err != nil {
		return nil, fmt.Errorf("modbus %s: %w", address, err)
	}
	if err := c.Open(); err != nil {
		return nil, fmt.Errorf("modbus %s: %w", address, err)
	}
	if err := c.SetUnitId(unitDirect); err != nil {
		return nil, fmt.Errorf("modbus %s: %w", address, err)
	}
	return &Device{client: c, address: address, maps: maps}, nil
}

// check refuses what cannot stand in a request.
func check(m catalogue.ModbusMap) error {
	switch m.Table {
	case tableCoil, tableDiscrete, tableHolding, tableInput:
	default:
		return fmt.Errorf("channel %s: table %q is none of coil, discrete, holding, input", m.Channel, m.Table)
	}
	if m.Address < 0 || m.Address > math.MaxUint16 {
		return fmt.Errorf("channel %s: address %d is not within 0 to 65535", m.Channel, m.Address)
	}
	return nil
}

// Write implements field.Device for coils and holding registers.
func (d *Device) Write(_ context.Context, channel string, value int32) error {
	m, err := d.find(channel)
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	switch m.Table {
	case tableCoil:
		err = d.client.WriteCoil(uint16(m.Address), value != 0)
	case tableHolding:
		raw := math.Round(float64(value) / scale(m))
		if raw < 0 || raw > math.MaxUint16 {
			return fmt.Errorf("channel %s: %d is outside of what its register holds", channel, value)
		}
		err = d.client.WriteRegister(uint16(m.Address), uint16(raw))
	default:
		return fmt.Errorf("channel %s is only read: table %s cannot be written", channel, m.Table)
	}
	return d.explain(channel, err)
}

// Read implements field.Device.
func (d *Device) Read(_ context.Context, channel string) (int32, error) {
	m, err := d.find(channel)
	if err != nil {
		return 0, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	var bit bool
	var raw uint16
	switch m.Table {
	case tableCoil:
		bit, err = d.client.ReadCoil(uint16(m.Address))
	case tableDiscrete:
		bit, err = d.client.ReadDiscreteInput(uint16(m.Address))
	case tableHolding:
		raw, err = d.client.ReadRegister(uint16(m.Address), modbus.HOLDING_REGISTER)
	case tableInput:
		raw, err = d.client.ReadRegister(uint16(m.Address), modbus.INPUT_REGISTER)
	}
	if err != nil {
		return 0, d.explain(channel, err)
	}
	if bit {
		return 1, nil
	}
	v := math.Round(float64(raw) * scale(m))
	if math.Abs(v) > math.MaxInt32 {
		return 0, fmt.Errorf("channel %s: register %d times its scale is no value", channel, raw)
	}
	return int32(v), nil
}

// Close implements field.Device.
func (d *Device) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.client.Close()
}

// find looks the mapping of a channel up.
func (d *Device) find(channel string) (catalogue.ModbusMap, error) {
	for _, m := range d.maps {
		if m.Channel == channel {
			return m, nil
		}
	}
	return catalogue.ModbusMap{}, fmt.Errorf("channel %s has no mapping", channel)
}

// scale is the factor from register to value.
func scale(m catalogue.ModbusMap) float64 {
	if m.Scale == 0 {
		return 1
	}
	return m.Scale
}

// explain turns the exceptions of the standard into what a person can do.
func (d *Device) explain(channel string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, modbus.ErrIllegalDataAddress):
		return fmt.Errorf("modbus %s, channel %s: the device has no such address; look at the mapping (addresses count from 0): %w", d.address, channel, err)
	case errors.Is(err, modbus.ErrIllegalFunction):
		return fmt.Errorf("modbus %s, channel %s: the device does not know this table: %w", d.address, channel, err)
	}
	return fmt.Errorf("modbus %s, channel %s: %w", d.address, channel, err)
}
