package behaviour

// find says what can be said without a proof.
func (c *compiler) find() {}
