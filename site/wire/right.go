package wire

import "strings"

// MayPublish tells whether a user of the broker may publish on a topic of a house. A controller writes only what is its
// own, and commands to its peers under its own name; the commissioning side asks, commands and sends messages, and may
// clear what a controller that left had retained.
func MayPublish(house, user, topic string) bool {
	t, err := ParseTopic(topic)
	if err != nil || t.House != house || user == "" {
		return false
	}
	if user == SiteUser {
		return t.Kind != KindAnswer && t.Kind != KindJournal && (t.Kind != KindDo || t.Name == SiteUser)
	}
	switch t.Kind {
	case KindAlive, KindCard, KindThing, KindState, KindAnswer, KindJournal:
		return t.Controller == user
	case KindDo:
		return t.Name == user && t.Controller != user
	}
	return false
}

// MayHear tells whether a user may subscribe to a filter of a house, and be given a message on a topic (which is a filter
// without wildcards). A controller hears what everybody may know, and what is addressed to itself.
func MayHear(house, user, filter string) bool {
	if user == "" {
		return false
	}
	parts := strings.Split(filter, "/")
	if parts[0] != escape(house) {
		return false
	}
	if user == SiteUser {
		return true
	}
	if len(parts) < 3 {
		return false
	}
	switch Kind(parts[2]) {
	case KindAlive, KindState:
		return true
	case KindDo, KindAsk:
		return parts[1] == escape(user)
	case KindMessage, KindPlace:
		return parts[1] == AllUser
	}
	return false
}
