package control

// int16s is a run of fields.
func (c *codec) int16s(vs ...*int16) {
	for _, v := range vs {
		c.int16(v)
	}
}

// int32s is a run of fields.
func (c *codec) int32s(vs ...*int32) {
	for _, v := range vs {
		c.int32(v)
	}
}

func (c *codec) slot(s *Slot) {
	c.text(&s.Name)
	small(c, &s.Kind)
	small(c, &s.Quantity)
	c.truth(&s.Publish)
	c.int16s(&s.Peer, &s.Remote)
	c.int32(&s.Start)
	c.text(&s.Module)
	c.text(&s.Channel)
	c.int32s(&s.Up, &s.Down, &s.Slats, &s.Pause, &s.Least)
	c.int16(&s.Schedule)
	c.truth(&s.Forget)
	c.truth(&s.Retain)
}

func (c *codec) schedule(s *Schedule) {
	c.truth(&s.Window)
	small(c, &s.Days)
	c.anchor(&s.From)
	c.anchor(&s.To)
	c.int32s(&s.First, &s.Last, &s.Every)
}

func (c *codec) anchor(a *Anchor) {
	small(c, &a.Kind)
	c.int16s(&a.Minute, &a.Elevation, &a.NotBefore, &a.NotAfter)
}

func (c *codec) span(r *Range) { c.int32s(&r.First, &r.Count) }

func (c *codec) rule(r *Rule) {
	c.int16(&r.Name)
	small(c, &r.Rank)
	c.span(&r.Causes)
	c.span(&r.Cond)
	c.span(&r.Actions)
}

func (c *codec) cause(a *Cause) {
	small(c, &a.Kind)
	c.int16s(&a.Slot, &a.List, &a.Timer)
	c.int32s(&a.Level, &a.Band)
}

func (c *codec) instr(i *Instr) {
	small(c, &i.Op)
	c.int32(&i.Arg)
}

func (c *codec) action(a *Action) {
	small(c, &a.Kind)
	small(c, &a.To)
	small(c, &a.Rank)
	c.int16s(&a.Index, &a.Peer)
	c.span(&a.Value)
	c.int32s(&a.Const, &a.Time, &a.Expiry)
}

func (c *codec) timer(t *Timer) {
	small(c, &t.Kind)
	c.int16s(&t.Name, &t.In)
	c.truth(&t.Invert)
	c.int32(&t.Time)
}

func (c *codec) gesture(g *Gesture) {
	c.int16(&g.Slot)
	c.int32s(&g.Debounce, &g.Long, &g.Gap)
}

func (c *codec) scene(s *Scene) {
	c.int16(&s.Name)
	c.truth(&s.Stored)
	c.span(&s.Items)
}

func (c *codec) item(i *SceneItem) {
	c.int16(&i.Slot)
	c.truth(&i.Slats)
	c.int32s(&i.Value, &i.Time)
}

func (c *codec) hold(h *Hold) {
	c.int16s(&h.Name, &h.Slot)
	small(c, &h.Rank)
	c.int16(&h.Peer)
	c.truth(&h.Restore)
}

func (c *codec) regulator(r *Regulator) {
	small(c, &r.Kind)
	c.truth(&r.Cooling)
	c.int16s(&r.Name, &r.Rule, &r.Sensor, &r.SetPoint, &r.Output, &r.Enable, &r.Window)
	c.int32s(&r.SetBack, &r.Frost, &r.Half, &r.Band, &r.Reset, &r.Sample, &r.Period, &r.Shortest, &r.Blind)
}
