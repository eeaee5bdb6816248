package radio

import (
	"math"
	"math/cmplx"
)

const vacuumPermittivity = 8.854187812813e-12 // F/m

// Material is the electrical side of a building material after ITU-R P.2040: relative permittivity A·f^B and
// conductivity C·f^D in S/m, f in GHz.
type Material struct{ A, B, C, D float64 }

// Air is the material of a gap between layers.
var Air = Material{A: 1}

// Permittivity is the complex relative permittivity at a frequency in GHz.
func (m Material) Permittivity(gigahertz float64) complex128 {
	return complex(m.A*math.Pow(gigahertz, m.B), -m.Conductivity(gigahertz)/(2*math.Pi*gigahertz*1e9*vacuumPermittivity))
}

// Conductivity is the conductivity in S/m at a frequency in GHz.
func (m Material) Conductivity(gigahertz float64) float64 { return m.C * math.Pow(gigahertz, m.D) }

// Layer is one layer of a wall.
type Layer struct {
	Material  Material
	Thickness float64 // m
}

// Loss is the transmission loss in dB of a wall of plane layers in air, at an angle from the normal in radians, mean
// of both polarisations (as powers). ITU-R P.2040, layer matrices; one layer equals the slab formula.
func Loss(layers []Layer, gigahertz, angle float64) float64 {
	te, tm := Transmission(layers, gigahertz, angle, false), Transmission(layers, gigahertz, angle, true)
	return -10 * math.Log10((sqr(te)+sqr(tm))/2)
}

func sqr(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }

// Transmission is the complex transmission coefficient of plane layers in air for one polarisation (tm: the electric
// field lies in the plane of incidence).
func Transmission(layers []Layer, gigahertz, angle float64, tm bool) complex128 {
	sin2, cos := complex(math.Pow(math.Sin(angle), 2), 0), complex(math.Cos(angle), 0)
	y0 := cos
	if tm {
		y0 = 1 / cos
	}
	a, b, c, d := complex128(1), complex128(0), complex128(0), complex128(1)
	for _, l := range layers {
		eta := l.Material.Permittivity(gigahertz)
		s := cmplx.Sqrt(eta - sin2)
		if imag(s) > 0 {
			s = -s // the wave must decay inwards
		}
		y := s
		if tm {
			y = eta / s
		}
		q := complex(2*math.Pi*l.Thickness*gigahertz*1e9/speedOfLight, 0) * s
		cq, sq := cmplx.Cos(q), 1i*cmplx.Sin(q)
		a, b, c, d = a*cq+b*y*sq, a*sq/y+b*cq, c*cq+d*y*sq, c*sq/y+d*cq
	}
	return 2 / (a + b*y0 + c/y0 + d)
}

// PlanLoss is the loss in dB for planning: the mean of the powers at normal incidence while the thickest layer is
// varied over half a wavelength in its material, one whole ripple. Thin layers ripple with thickness and frequency, and no
// plan knows a wall to the millimetre.
func PlanLoss(layers []Layer, gigahertz float64) float64 {
	const turns = 200
	thick := -1
	for i, l := range layers {
		if l.Material != Air && (thick < 0 || l.Thickness > layers[thick].Thickness) {
			thick = i
		}
	}
	if thick < 0 {
		return 0
	}
	varied := append([]Layer(nil), layers...)
	wave := speedOfLight / (gigahertz * 1e9) / math.Sqrt(real(layers[thick].Material.Permittivity(gigahertz)))
	sum := 0.0
	for i := range turns {
		shift := ((float64(i)+0.5)/turns - 0.5) / 2
		varied[thick].Thickness = math.Max(0, layers[thick].Thickness+shift*wave)
		sum += sqr(Transmission(varied, gigahertz, 0, false))
	}
	return -10 * math.Log10(sum/turns)
}
