package store

import (
	"fmt"
	"math/big"
	"strings"

	"wirewright/house"
)

// The entities of a kind stand in an order that people chose. Each has a place: a text of hexadecimal digits, read as a
// fraction between 0 and 1, so that texts sort as the places do and there is always another one between two. Putting an
// entity somewhere writes this entity alone. A place never ends in 0, so that no two texts name one fraction.
//
// Behind the last and before the first, places count in their first eight digits and do not grow; between two they grow
// by a digit every four times that something is put into the same gap.
const (
	placeDigits = 8
	placeFirst  = 1 << 30
	placeTail   = "8"
)

// placeBetween is a place between two; "" stands for the start and for the end of the list.
func placeBetween(a, b string) string {
	switch {
	case a == "" && b == "":
		return placeAt(placeFirst)
	case b == "":
		if n := placeNumber(a); n < 1<<32-1 {
			return placeAt(n + 1)
		}
	case a == "":
		if n := placeNumber(b); n > 0 {
			return placeAt(n - 1)
		}
	}
	width := max(len(a), len(b)) + 1
	low, high := placeValue(a, width, '0'), placeValue(b, width, '0')
	if b == "" {
		high.Lsh(big.NewInt(1), uint(4*width))
	}
	low.Add(low, high).Rsh(low, 1)
	return strings.TrimRight(fmt.Sprintf("%0*x", width, low), "0")
}

// placeAt is the place with a number in front.
func placeAt(n int64) string { return fmt.Sprintf("%0*x%s", placeDigits, n, placeTail) }

// placeNumber is the number in front of a place.
func placeNumber(place string) int64 {
	return placeValue(place[:min(len(place), placeDigits)], placeDigits, '0').Int64()
}

// placeValue reads a place as a whole number of so many digits.
func placeValue(place string, width int, fill byte) *big.Int {
	v := new(big.Int)
	if place == "" {
		return v
	}
	v.SetString(place+strings.Repeat(string(fill), max(0, width-len(place))), 16)
	return v
}

const (
	sqlPlaceOf    = "SELECT place FROM entity WHERE kind = ? AND id = ? AND until IS NULL"
	sqlPlaceLast  = "SELECT id, place FROM entity WHERE kind = ? AND until IS NULL ORDER BY place DESC LIMIT 1"
	sqlPlaceAfter = "SELECT place FROM entity WHERE kind = ? AND until IS NULL AND place > ? AND id <> ? ORDER BY place LIMIT 1"
)

// placer finds places during one commit. It remembers the end of each list, so that bringing in a long list does not
// look for the end again for each entity.
type placer struct {
	t    *txn
	last map[string]*listEnd
}

type listEnd struct{ id, place string }

func (t *txn) placer() *placer { return &placer{t: t, last: map[string]*listEnd{}} }

// end reads the last entity of a list; both texts are empty where the list is.
func (p *placer) end(kind string) (*listEnd, error) {
	if e := p.last[kind]; e != nil {
		return e, nil
	}
	e := &listEnd{}
	_, err := p.t.one(sqlPlaceLast, []any{kind}, &e.id, &e.place)
	p.last[kind] = e
	return e, err
}

// forget makes the end of a list be read again: one of its entities went or moved.
func (p *placer) forget(kind string) { delete(p.last, kind) }

// put finds the place behind another entity, as house.Change.Follows says, for an entity that is not in the list or is
// about to leave its place in it.
func (p *placer) put(kind, id, follows string) (string, error) {
	end, err := p.end(kind)
	if err != nil {
		return "", err
	}
	low, found := "", follows == string(house.AtStart)
	if !found && follows != "" && follows != end.id && follows != id {
		if found, err = p.t.one(sqlPlaceOf, []any{kind, follows}, &low); err != nil {
			return "", err
		}
	}
	if !found {
		place := placeBetween(end.place, "")
		p.last[kind] = &listEnd{id, place}
		return place, nil
	}
	var high string
	if _, err := p.t.one(sqlPlaceAfter, []any{kind, low, id}, &high); err != nil {
		return "", err
	}
	p.forget(kind)
	return placeBetween(low, high), nil
}
