package house_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
)

// TestWriteThenReadIsTheSame holds for any valid house, whatever its texts say.
func TestWriteThenReadIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomHouse(t)
		if problems := house.Validate(h); problems != nil {
			t.Fatalf("the random house is not valid: %v", problems)
		}
		text := house.Write(h)
		back, err := house.Read("h.yaml", text)
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		if !reflect.DeepEqual(h, back) {
			t.Fatalf("came back as\n%s\ninstead of\n%s", house.Write(back), text)
		}
	})
}
