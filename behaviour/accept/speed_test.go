package accept

import (
	"context"
	"testing"
)

func BenchmarkGenerateSample(b *testing.B) {
	c := sample(b, "")
	for b.Loop() {
		if tests := Generate(c); len(tests) < 30 {
			b.Fatal(len(tests))
		}
	}
}

func BenchmarkRunSample(b *testing.B) {
	c := sample(b, "")
	tests := Generate(c)
	w := newTiny(b, c)
	for b.Loop() {
		Run(context.Background(), tests, w, nil)
	}
}
