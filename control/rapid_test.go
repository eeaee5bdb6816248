package control

import (
	"testing"

	"pgregory.net/rapid"
)

// gen is the source of random choices of a property.
type gen struct{ t *rapid.T }

// check tries a property with many random choices.
func check(t *testing.T, property func(g gen)) {
	t.Helper()
	rapid.Check(t, func(rt *rapid.T) { property(gen{rt}) })
}

func (g gen) number(low, high int32) int32 { return rapid.Int32Range(low, high).Draw(g.t, "n") }
func (g gen) oneOf(vs ...int32) int32      { return rapid.SampledFrom(vs).Draw(g.t, "v") }
func (g gen) yes() bool                    { return rapid.Bool().Draw(g.t, "b") }
func (g gen) fatalf(format string, args ...any) {
	g.t.Fatalf(format, args...)
}
