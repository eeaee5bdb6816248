// Package field names what all drivers of devices of other makes have in common. The drivers lie beside it, each named by
// its technology: mqtt (also the carrier of our own protocol), modbus, and dnssd, by which controllers are found.
//
// A device is driven through the mapping in its catalogue entry (catalogue.Driver): channel by channel, to topics and
// payloads or to registers. Values are those of package control.
package field

import "context"

// Device is one device of another make, reached through its mapping.
type Device interface {
	// Write drives a channel. The error names the channel and what the device or the mapping refused.
	Write(ctx context.Context, channel string, value int32) error
	// Read asks for, or waits for, the value of a channel.
	Read(ctx context.Context, channel string) (int32, error)
	// Close ends the connection.
	Close() error
}
