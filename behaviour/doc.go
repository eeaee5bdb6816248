// Package behaviour is the language in which an installer writes what every key, sensor and clock does.
package behaviour
