// Package dnssd announces a controller on its link and finds those that announce themselves: DNS-based service discovery
// over multicast DNS.
//
// Service is what is announced; its records and the answers to a question are computed without a socket (record.go), as
// is the memory of a browser (cache.go). Responder and Browser carry them over one interface: a query that comes by
// another interface is not heard. Only IPv4 is spoken: a controller has its planned IPv4 address.
//
// Multicast stays within a link: it does not pass between VLANs and is often blocked on guest networks. Whoever uses this
// package offers "enter an address" beside it.
//
// Sources: RFC 6762 (multicast DNS), RFC 6763 (service discovery), RFC 6335 (service names).
package dnssd
