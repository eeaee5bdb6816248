package store

import "wirewright/house"

func assemble(changes []house.Change) (*house.House, error) {
	return &house.House{Format: house.FormatName}, nil
}
