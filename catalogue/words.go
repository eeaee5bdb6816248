package catalogue

// Values lists the media; the reader takes no other word.
func (Medium) Values() []string {
	return []string{string(Wired), string(WiFi), string(Gateway), string(NoBus)}
}

// Values lists the roles; the reader takes no other word.
func (Role) Values() []string {
	return []string{string(RoleModule), string(RoleHead), string(RoleSupply)}
}

// Values lists the mounts; the reader takes no other word.
func (Mount) Values() []string {
	return []string{string(Rail), string(BoxIn), string(Plate), string(Surface)}
}

// ChannelKinds lists every kind of channel, outputs first.
var ChannelKinds = []ChannelKind{Relay, Dimmer, MotorOut, ValveOut, Input, Analogue, Key, TempIn, LightIn, Presence, WindIn, RainIn, MeterIn}

// Values lists the kinds of channel; the reader takes no other word.
func (ChannelKind) Values() []string {
	words := make([]string, len(ChannelKinds))
	for i, k := range ChannelKinds {
		words[i] = string(k)
	}
	return words
}
