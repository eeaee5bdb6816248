package check

import (
	"testing"

	"wirewright/house/generated"
)

func benchmarkCheck(b *testing.B, points int) {
	c := builtin(b)
	h := generated.House(points, 1)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n = len(Check(h, c))
	}
	b.ReportMetric(float64(n), "findings")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
}

func BenchmarkCheck300(b *testing.B)   { benchmarkCheck(b, 300) }
func BenchmarkCheck20000(b *testing.B) { benchmarkCheck(b, 20_000) }
