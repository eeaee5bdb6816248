package workbench

import (
	"context"
	"fmt"
	"testing"
)

// Pages of a generated house, over a real socket: what the person waits for behind a click.
func BenchmarkPage(b *testing.B) {
	for _, points := range []int{300, 5000} {
		d := open(b, large(b, points))
		for _, address := range []string{"/", "/points", "/modules", "/findings", "/passport/living1.lamp", "/api/house"} {
			b.Run(fmt.Sprintf("%d%s", points, address), func(b *testing.B) {
				n := 0
				for b.Loop() {
					_, body, _ := d.get(address)
					n = len(body)
				}
				b.ReportMetric(float64(n)/1000, "kB")
			})
		}
	}
}

// A view of a house: everything that follows from it, after each edit.
func BenchmarkView(b *testing.B) {
	for _, points := range []int{300, 5000} {
		j := large(b, points)
		b.Run(fmt.Sprint(points), func(b *testing.B) {
			for b.Loop() {
				if _, err := j.View(context.Background(), nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
