package yamldoc

import (
	"fmt"
	"strconv"
	"strings"
)

// sample is a struct with a field of every shape.
type sample struct {
	ID     string    `yaml:"id"`
	Kind   colour    `yaml:"kind,omitempty"`
	Side   string    `yaml:"side,omitempty" enum:"left,right" doc:"Where it is."`
	Phases int       `yaml:"phases,omitempty" enum:"1,3"`
	Count  int       `yaml:"count,omitempty" min:"0" max:"10"`
	Factor float64   `yaml:"factor,omitempty" above:"0" max:"1"`
	On     bool      `yaml:"on,omitempty"`
	Weight grams     `yaml:"weight,omitempty" min:"0" max:"5 kg"`
	Twin   *grams    `yaml:"twin,omitempty"`
	At     *spot     `yaml:"at,omitempty"`
	Ring   []spot    `yaml:"ring,omitempty"`
	Rings  [][]spot  `yaml:"rings,omitempty"`
	Words  []string  `yaml:"words,omitempty"`
	Parts  []part    `yaml:"parts,omitempty"`
	Inner  inner     `yaml:"inner,omitempty"`
	Deep   *sample   `yaml:"deep,omitempty"`
	Many   []sample  `yaml:"many,omitempty"`
	Owner  string    `yaml:"owner,omitempty" ref:"sample"`
	Note   string    `yaml:"note,omitempty"`
	Other  chan int  // fields without a tag are left alone
	Tagged struct{}  `yaml:"-"`
	Ints   []int     `yaml:"ints,omitempty" max:"9"`
	Floats []float64 `yaml:"floats,omitempty"`
}

type colour string

func (colour) Values() []string { return []string{"red", "green", "blue"} }

type spot struct{ X, Y float64 }

type part struct {
	Name string `yaml:"name"`
	Size int    `yaml:"size,omitempty"`
	Note string `yaml:"note,omitempty"`
}

type inner struct {
	Title string   `yaml:"title,omitempty"`
	List  []string `yaml:"list,omitempty"`
}

// grams is a quantity of its own.
type grams int64

func (g grams) String() string { return strconv.FormatInt(int64(g), 10) + " g" }

func (g grams) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

func (g *grams) UnmarshalText(b []byte) error {
	number, unit, _ := strings.Cut(string(b), " ")
	v, err := strconv.ParseInt(number, 10, 64)
	switch {
	case err != nil || unit != "g" && unit != "kg":
		return fmt.Errorf("%q is not a weight; write for example 5 g", b)
	case unit == "kg":
		v *= 1000
	}
	if *g = grams(v); v > 1_000_000 {
		return fmt.Errorf("%q is too heavy", b)
	}
	return nil
}

func (grams) Pattern(bool) string { return `^-?\d+ k?g$` }
