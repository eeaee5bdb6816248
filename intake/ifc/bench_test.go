package ifc

import "testing"

// BenchmarkImport measures the whole way from bytes to a house, in MB/s of model.
func BenchmarkImport(b *testing.B) {
	for _, name := range realModels {
		data := readModel(b, name)
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if _, err := Import(name, data, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
