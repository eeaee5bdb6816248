package workbench

import (
	"net/http"

	"wirewright/house"
	"wirewright/job"
)

// keysBody is the key legend of every keypad.
type keysBody struct {
	Keypads []keypad
}

// keypad is one keypad with what its keys do.
type keypad struct {
	job.Ref
	Room job.Ref
	Keys []job.PassportKey
}

// keysPage shows what each key does, keypad by keypad.
func keysPage(v *job.View, _ *http.Request) (shown, error) {
	keys := map[house.ID][]job.PassportKey{}
	for _, k := range v.Legends {
		keys[k.Point] = append(keys[k.Point], job.PassportKey{Key: k.Key, Caption: k.Caption, Lines: k.Lines})
	}
	var b keysBody
	for _, p := range v.PointRows() {
		if p.PointKind == house.Keypad {
			b.Keypads = append(b.Keypads, keypad{p.Ref, p.Room, keys[p.ID]})
		}
	}
	return shown{"Keys", b}, nil
}
