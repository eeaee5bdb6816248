package house_test

import (
	"testing"

	yaml "go.yaml.in/yaml/v4"

	"wirewright/house"
	"wirewright/house/generated"
)

// BenchmarkRead reads the text of generated houses, validation included, and the largest one by a general YAML library
// into its node tree (no validation) and into the same structs, for comparison.
func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name   string
		points int
	}{{"300 points", 300}, {"20000 points", 20_000}, {"50000 points", 50_000}} {
		text := house.Write(generated.House(c.points, 1))
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := house.Read("h.yaml", text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	text := house.Write(generated.House(50_000, 1))
	b.Run("50000 points, peer, nodes", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			var n yaml.Node
			if err := yaml.Unmarshal(text, &n); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	h := generated.House(50_000, 1)
	b.ReportAllocs()
	b.SetBytes(int64(len(house.Write(h))))
	for b.Loop() {
		house.Write(h)
	}
}
