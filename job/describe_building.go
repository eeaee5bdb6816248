package job

import "strings"

func (d *describer) storey() bool {
	e := d.Index.Storey(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note, d.p.Storey = e.Title, "storey", e.Note, e.ID
	d.say("elevation", e.Elevation.String())
	d.sayf(e.Height != 0, "floor to floor", "%s", e.Height)
	var rooms []Ref
	for _, r := range d.House.Rooms {
		if r.Storey == e.ID {
			rooms = append(rooms, Ref{"room", r.ID, r.Title})
		}
	}
	d.parts("rooms", rooms)
	return true
}

func (d *describer) wall() bool {
	e := d.Index.Wall(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note, d.p.Storey = e.Title, map[bool]string{true: "outer wall", false: "inner wall"}[e.External], e.Note, e.Storey
	d.name("storey", "storey", e.Storey)
	d.sayf(e.Thickness != 0, "thickness", "%s", e.Thickness)
	for _, l := range e.Layers {
		d.say("layer", l.Material+", "+l.Thickness.String())
	}
	d.say("source", e.Source)
	return true
}

func (d *describer) opening() bool {
	e := d.Index.Opening(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note, d.p.Storey = e.Title, string(e.Kind), e.Note, e.Storey
	d.name("storey", "storey", e.Storey)
	d.name("wall", "wall", e.Wall)
	d.sayf(e.Width != 0, "size", "%s wide, %s high", e.Width, e.Height)
	var rooms, points []Ref
	for _, r := range e.Rooms {
		rooms = append(rooms, d.ref("room", r))
	}
	for _, p := range d.House.Points {
		if p.Opening == e.ID {
			points = append(points, Ref{"point", p.ID, p.Title})
		}
	}
	d.parts("joins the rooms", rooms)
	d.parts("points", points)
	return true
}

func (d *describer) wish() bool {
	e := d.Index.Wish(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note = e.Text, "wish of the client", e.Note
	d.say("whose", e.Who)
	var rooms []Ref
	for _, r := range e.Rooms {
		rooms = append(rooms, d.ref("room", r))
	}
	d.parts("rooms", rooms)
	return true
}

// network and site have no name of their own; they are found by their kind.
func (d *describer) network() bool {
	if d.p.ID != "network" && d.p.ID != "" {
		return false
	}
	d.p.ID = ""
	n := d.House.Network
	d.p.Title, d.p.What, d.p.Note = "Network", "data network of the house", n.Note
	d.say("Wi-Fi name", n.Name)
	d.say("subnet", n.Subnet)
	d.say("router", n.Router)
	d.sayf(n.PoolFirst != "", "addresses that the router gives", "%s to %s", n.PoolFirst, n.PoolLast)
	d.say("broker", or(n.Broker, "the embedded one"))
	for _, a := range n.AccessPoints {
		d.say("access point", strings.TrimSpace(string(a.ID)+" "+a.Title))
	}
	return true
}

func (d *describer) site() bool {
	if d.p.ID != "site" && d.p.ID != "" {
		return false
	}
	d.p.ID = ""
	s := d.House.Site
	d.p.Title, d.p.What, d.p.Note = or(s.Place, "Site"), "site and supply", s.Note
	d.say("time zone", s.Zone)
	d.sayf(s.Supply.Voltage != 0, "supply", "%s, %s, %s", s.Supply.Voltage, plural(s.Supply.Phases, "phase", "phases"), s.Supply.Earthing)
	d.sayf(s.Supply.Loop != 0, "external loop impedance", "%s", s.Supply.Loop)
	d.sayf(s.Supply.Fault != 0, "prospective fault current", "%s", s.Supply.Fault)
	d.sayf(s.Supply.Main != 0, "main device", "%s", s.Supply.Main)
	return true
}
