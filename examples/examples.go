// Package examples carries the invented houses that come with the program: the house at the weir, which the demo takes
// through the whole job. It is data only; whoever opens it reads it like any other text.
package examples

import _ "embed" // the texts

// The texts of the house at the weir: a finished old house without control wiring and a new wing with star wiring and a
// bus line.
var (
	//go:embed weirhouse/house.yaml
	WeirHouse []byte
	//go:embed weirhouse/behaviour.txt
	WeirBehaviour string
	//go:embed weirhouse/acceptance.txt
	WeirAcceptance string
)
