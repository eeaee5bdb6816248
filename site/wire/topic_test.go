package wire

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestAnyNameIsOneLevel: MQTT 5, 4.7: '/', '+' and '#' have meanings, U+0000 must not occur, and '$' is special at the
// beginning; none of them may come through.
func TestAnyNameIsOneLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringN(1, 20, 40).Draw(t, "name")
		topic := Topic{"a house", "hall.box", KindState, name}
		s := topic.String()
		if strings.Count(s, "/") != 3 || strings.ContainsAny(s, "+#\x00$") {
			t.Fatalf("name %q gives topic %q", name, s)
		}
		back, err := ParseTopic(s)
		if len(s) < nameMost && (err != nil || back.Name != name) {
			t.Fatalf("name %q comes back as %q (%v)", name, back.Name, err)
		}
	})
}

func TestFilters(t *testing.T) {
	for _, c := range []struct {
		controller string
		kind       Kind
		want       string
	}{
		{"+", KindAlive, "h/+/alive"},
		{"+", KindState, "h/+/state/+"},
		{"hall.box", KindDo, "h/hall.box/do/+"},
		{"hall.box", KindAsk, "h/hall.box/ask"},
		{AllUser, KindMessage, "h/_all/message/+"},
	} {
		if got := Filter("h", c.controller, c.kind); got != c.want {
			t.Errorf("filter %q, want %q", got, c.want)
		}
	}
}
