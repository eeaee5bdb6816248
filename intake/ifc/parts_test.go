package ifc

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"wirewright/house"
)

// imported reads a snippet into a house; elements named in `on` are put on the storey.
func imported(t *testing.T, records, on string) *Result {
	t.Helper()
	r, err := Import("snippet.ifc", []byte(snippetText(records+fmt.Sprintf("#900=IFCRELCONTAINEDINSPATIALSTRUCTURE('in',$,$,$,(%s),#6);", on))), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if list := house.Validate(r.House); len(list) > 0 {
		t.Errorf("not valid: %v", list)
	}
	return r
}

// wallWith is a wall with an axis from (0,0) to (4,0) or another one, and a body of the rectangle from y1 to y2.
func wallWith(axis string, y1, y2 float64) string {
	return fmt.Sprintf("#10=IFCCARTESIANPOINT((0.,0.));#11=IFCCARTESIANPOINT((4.,0.));%s#13=IFCSHAPEREPRESENTATION($,'Axis','Curve2D',(#12));"+
		"#14=IFCCARTESIANPOINT((2.,%g));#15=IFCAXIS2PLACEMENT2D(#14,$);#16=IFCRECTANGLEPROFILEDEF(.AREA.,$,#15,4.,%g);#17=IFCEXTRUDEDAREASOLID(#16,$,#2,2.6);"+
		"#18=IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#17));#19=IFCPRODUCTDEFINITIONSHAPE($,$,(#13,#18));#20=IFCWALL('w',$,'A wall',$,$,#5,#19,$,$);",
		axis, (y1+y2)/2, y2-y1)
}

const straightAxis = "#12=IFCPOLYLINE((#10,#11));"

func layerUsage(sense string, offset float64) string {
	return fmt.Sprintf("#30=IFCMATERIAL('Brick',$,$);#31=IFCMATERIAL('Wool',$,$);#32=IFCMATERIALLAYER(#30,0.2,$,$,$,$,$);#33=IFCMATERIALLAYER(#31,0.1,$,$,$,$,$);"+
		"#36=IFCMATERIALLAYER(#31,0.,$,$,$,$,$);#34=IFCMATERIALLAYERSET((#32,#36,#33),$,$);#35=IFCMATERIALLAYERSETUSAGE(#34,.AXIS2.,.%s.,%g,$);#40=IFCRELASSOCIATESMATERIAL('m',$,$,$,(#20),#35);", sense, offset)
}

func layerText(w house.Wall) string {
	var parts []string
	for _, l := range w.Layers {
		parts = append(parts, l.Material+" "+l.Thickness.String())
	}
	return strings.Join(parts, ", ")
}

// TestWhereTheWallLies gives every way in which files say where a wall lies beside its axis: the centre line must be the same
// as that of the body.
func TestWhereTheWallLies(t *testing.T) {
	for _, c := range []struct {
		name, records string
		y             float64 // of the centre line
		thick         float64
		layers        string // from the left
	}{
		{"positive", wallWith(straightAxis, 0, 0.3) + layerUsage("POSITIVE", 0), 0.15, 0.3, "Wool 100 mm, Brick 200 mm"},
		{"negative", wallWith(straightAxis, -0.3, 0) + layerUsage("NEGATIVE", 0), -0.15, 0.3, "Brick 200 mm, Wool 100 mm"},
		{"centred", wallWith(straightAxis, -0.15, 0.15) + layerUsage("POSITIVE", -0.15), 0, 0.3, "Wool 100 mm, Brick 200 mm"},
		{"centred, the other way", wallWith(straightAxis, -0.15, 0.15) + layerUsage("NEGATIVE", 0.15), 0, 0.3, "Brick 200 mm, Wool 100 mm"},
		{"by the body, one material", wallWith(straightAxis, 0.05, 0.25) + "#30=IFCMATERIAL('Clay',$,$);#40=IFCRELASSOCIATESMATERIAL('m',$,$,$,(#20),#30);", 0.15, 0.2, "Clay 200 mm"},
		{"by the body, no material", wallWith(straightAxis, -0.25, -0.05), -0.15, 0.2, ""},
		{"by the body, a set on the type", wallWith(straightAxis, 0, 0.3) + strings.Replace(layerUsage("POSITIVE", 0), "(#20),#35", "(#50),#34", 1) +
			"#50=IFCWALLTYPE('t',$,'T',$,$,$,$,$,$,.SOLIDWALL.);#51=IFCRELDEFINESBYTYPE('d',$,$,$,(#20),#50);", 0.15, 0.3, "Brick 200 mm, Wool 100 mm"},
		{"constituents", wallWith(straightAxis, 0, 0.3) + "#30=IFCMATERIAL('Clay',$,$);#31=IFCMATERIALCONSTITUENT('x',$,#30,$,$);#32=IFCMATERIALCONSTITUENTSET('s',$,(#31));" +
			"#40=IFCRELASSOCIATESMATERIAL('m',$,$,$,(#20),#32);", 0.15, 0.3, "Clay 300 mm"},
		{"a list of materials", wallWith(straightAxis, 0, 0.3) + "#30=IFCMATERIAL('Clay',$,$);#31=IFCMATERIAL('Straw',$,$);#32=IFCMATERIALLIST((#30,#31));" +
			"#40=IFCRELASSOCIATESMATERIAL('m',$,$,$,(#20),#32);", 0.15, 0.3, "Clay 0 m, Straw 0 m"},
	} {
		h := imported(t, c.records, "#20").House
		if len(h.Walls) != 1 {
			t.Errorf("%s: %d walls", c.name, len(h.Walls))
			continue
		}
		w := h.Walls[0]
		if !near(w.From.Y, c.y, 1e-9) || !near(w.To.Y, c.y, 1e-9) || w.From.X != 0 || w.To.X != 4 || !near(w.Thickness.M(), c.thick, 1e-6) || layerText(w) != c.layers {
			t.Errorf("%s: %v to %v, %s thick, layers %q", c.name, w.From, w.To, w.Thickness, layerText(w))
		}
		if w.Height.M() != 2.6 || w.Base != 0 || w.ID != "a-wall" || w.Storey != "ground" {
			t.Errorf("%s: %s on %s, %s high from %s", c.name, w.ID, w.Storey, w.Height, w.Base)
		}
	}
}

// TestBentWalls: an axis with a corner gives two walls that meet in their centre lines; an arc gives pieces of equal radius.
func TestBentWalls(t *testing.T) {
	bent := "#60=IFCCARTESIANPOINT((4.,3.));#12=IFCPOLYLINE((#10,#11,#60));"
	h := imported(t, wallWith(bent, 0, 0.3)+layerUsage("POSITIVE", 0), "#20").House
	if len(h.Walls) != 2 || h.Walls[0].To != h.Walls[1].From || h.Walls[0].ID == h.Walls[1].ID || h.Walls[0].Source != h.Walls[1].Source {
		t.Fatalf("%v", h.Walls)
	}
	if p := h.Walls[0].To; !near(p.X, 3.85, 1e-9) || !near(p.Y, 0.15, 1e-9) {
		t.Errorf("the centre lines meet at %v", p)
	}
	arc := "#60=IFCAXIS2PLACEMENT2D(#10,$);#61=IFCCIRCLE(#60,4.);#12=IFCTRIMMEDCURVE(#61,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(1.5707963267948966)),.T.,.PARAMETER.);"
	h = imported(t, wallWith(arc, 0, 0.3)+layerUsage("POSITIVE", 0), "#20").House
	if len(h.Walls) != 18 {
		t.Errorf("a quarter of a circle is %d walls, want 18 of 5 degrees", len(h.Walls))
	}
	for _, w := range h.Walls {
		if r := point(w.From).length(); !near(r, 3.85, 0.01) { // to the left of the arc is inwards
			t.Errorf("a piece begins %.3f m from the centre", r)
		}
	}
}

// TestWallsWithoutAxis takes the smallest rectangle of the body; a wall without anything is listed.
func TestWallsWithoutAxis(t *testing.T) {
	noAxis := strings.Replace(wallWith(straightAxis, 0, 0.3), "(#13,#18)", "(#18)", 1)
	w := imported(t, noAxis, "#20").House.Walls[0]
	if !near(w.Thickness.M(), 0.3, 1e-6) || !near(point(w.To).minus(point(w.From)).length(), 4, 1e-6) || !near(w.From.Y, 0.15, 1e-6) {
		t.Errorf("%+v", w)
	}
	noBody := strings.Replace(wallWith(straightAxis, 0, 0.3)+layerUsage("POSITIVE", 0), "(#13,#18)", "(#13)", 1)
	if w := imported(t, noBody, "#20").House.Walls[0]; !strings.Contains(w.Note, "height is not known") || w.From.Y != 0.15 {
		t.Errorf("%+v", w)
	}
	nothing := imported(t, "#20=IFCWALL('w',$,'W',$,$,#5,$,$,$);", "#20")
	if len(nothing.House.Walls) != 0 || len(nothing.Unread) != 1 || !strings.Contains(nothing.Unread[0].Reason, "neither an axis nor a body") {
		t.Errorf("%v", nothing.Unread)
	}
}

// hole is an opening of a width and a height in the wall of wallWith, 1 m from its start.
func hole(w, h float64) string {
	return fmt.Sprintf("#70=IFCCARTESIANPOINT((1.,0.,0.));#71=IFCAXIS2PLACEMENT3D(#70,$,$);#72=IFCLOCALPLACEMENT(#5,#71);#73=IFCCARTESIANPOINT((%g,0.15));#74=IFCAXIS2PLACEMENT2D(#73,$);"+
		"#75=IFCRECTANGLEPROFILEDEF(.AREA.,$,#74,%g,0.5);#76=IFCEXTRUDEDAREASOLID(#75,$,#2,%g);#77=IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#76));"+
		"#78=IFCPRODUCTDEFINITIONSHAPE($,$,(#77));#79=IFCRELVOIDSELEMENT('v',$,$,$,#20,#80);", w/2, w, h)
}

func opens(predefined string) string {
	return "#80=IFCOPENINGELEMENT('o',$,'Hole',$,$,#72,#78,$," + predefined + ");"
}

func TestHoles(t *testing.T) {
	wall := wallWith(straightAxis, 0, 0.3) + layerUsage("POSITIVE", 0)
	for _, c := range []struct {
		name, records string
		kind          house.OpeningKind
		reason        string
	}{
		{"passage", hole(1, 2.1) + opens(".OPENING."), house.Passage, ""},
		{"recess", hole(1, 2.1) + opens(".RECESS."), "", "recess"},
		{"pipe", hole(0.2, 0.2) + opens("$"), "", "too small"},
		{"low hatch", hole(1, 1) + opens("$"), "", "too small"},
		{"door", hole(1, 2.1) + opens("$") + "#81=IFCRELFILLSELEMENT('f',$,$,$,#80,#82);#82=IFCDOOR('d',$,'D',$,$,#72,$,$,2.,0.9,.DOOR.,.SINGLE_SWING_RIGHT.,$);", house.Door, ""},
		{"window", hole(1, 1) + opens("$") + "#81=IFCRELFILLSELEMENT('f',$,$,$,#80,#82);#82=IFCWINDOW('d',$,'W',$,$,#72,$,$,1.,1.,.WINDOW.,$,$);", house.Window, ""},
		{"door without size", hole(1, 2.1) + opens("$") + "#81=IFCRELFILLSELEMENT('f',$,$,$,#80,#82);#82=IFCDOOR('d',$,'D',$,$,#72,$,$,$,$,.DOOR.,$,$);", house.Door, ""},
		{"hole in a beam", strings.Replace(hole(1, 2.1), "#20,#80", "#90,#80", 1) + opens("$") + "#90=IFCBEAM('b',$,'B',$,$,#5,$,$,$);", "", "neither a wall nor a slab"},
	} {
		r := imported(t, wall+c.records, "#20")
		if c.kind == "" {
			if len(r.House.Openings) != 0 || !slices.ContainsFunc(r.Unread, func(i Item) bool { return strings.Contains(i.Reason, c.reason) }) {
				t.Errorf("%s: %v, not read %v", c.name, r.House.Openings, r.Unread)
			}
			continue
		}
		if len(r.House.Openings) != 1 {
			t.Errorf("%s: %v, not read %v", c.name, r.House.Openings, r.Unread)
			continue
		}
		o := r.House.Openings[0]
		if o.Kind != c.kind || o.Wall != "a-wall" || !near(o.From.X, 1, 1e-9) || !near(o.To.X, 2, 1e-9) || !near(o.From.Y, 0.15, 1e-9) || o.Storey != "ground" {
			t.Errorf("%s: %+v", c.name, o)
		}
		if c.name == "door" && (o.Hinge != "to" || o.Width.M() != 0.9 || o.Height.M() != 2) || c.name == "door without size" && (o.Width.M() != 1 || o.Height.M() != 2.1) {
			t.Errorf("%s: %+v", c.name, o)
		}
	}
}

// TestDoorsWithoutAHole takes the place of the door itself, and lists one that has no place at all.
func TestDoorsWithoutAHole(t *testing.T) {
	r := imported(t, "#82=IFCDOOR('d',$,'D',$,$,#5,$,$,2.,0.9,.DOOR.,$,$);#83=IFCDOOR('e',$,'E',$,$,#5,$,$,$,$,.DOOR.,$,$);", "#82,#83")
	if len(r.House.Openings) != 1 || r.House.Openings[0].Note == "" || r.House.Openings[0].To.X != 0.9 || len(r.Unread) != 1 {
		t.Errorf("%v; not read %v", r.House.Openings, r.Unread)
	}
}

func TestSlabs(t *testing.T) {
	plate := "#10=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,6.,4.);#11=IFCEXTRUDEDAREASOLID(#10,$,#2,0.2);#12=IFCSHAPEREPRESENTATION($,'Body','X',(#11));#13=IFCPRODUCTDEFINITIONSHAPE($,$,(#12));" +
		"#20=IFCSLAB('s',$,'Floor',$,$,#5,#13,$,.FLOOR.);#30=IFCMATERIAL('Concrete',$,$);#40=IFCRELASSOCIATESMATERIAL('m',$,$,$,(#20),#30);"
	cut := strings.Replace(hole(1, 1), "#20,#80", "#20,#80", 1) + opens("$")
	r := imported(t, plate+cut+"#21=IFCROOF('r',$,'Roof',$,$,#5,$,$,$);", "#20,#21")
	if len(r.House.Slabs) != 1 {
		t.Fatalf("%v", r.House.Slabs)
	}
	s := r.House.Slabs[0]
	if !near(polygonOf(s.Outline).area(), 24, 1e-6) || len(s.Holes) != 1 || !near(polygonOf(s.Holes[0]).area(), 0.5, 1e-6) || s.Top.M() != 0.2 {
		t.Errorf("%+v", s)
	}
	if len(s.Layers) != 1 || s.Layers[0].Material != "Concrete" || s.Layers[0].Thickness.M() != 0.2 {
		t.Errorf("layers %v", s.Layers)
	}
	if len(r.Unread) != 1 || r.Unread[0].Class != "IFCROOF" {
		t.Errorf("not read: %v", r.Unread)
	}
}

// TestFootprintWhereTheBodyFails: a room with an unreadable body and a readable footprint keeps its outline.
func TestFootprintWhereTheBodyFails(t *testing.T) {
	r := imported(t, unitSquare+"#20=IFCSPHERE(#4,1.);#21=IFCSHAPEREPRESENTATION($,'Body','X',(#20));#22=IFCGEOMETRICCURVESET((#14));#23=IFCSHAPEREPRESENTATION($,'FootPrint','X',(#22));"+
		"#24=IFCPRODUCTDEFINITIONSHAPE($,$,(#21,#23));#25=IFCSPACE('s',$,'7',$,$,#5,#24,$,.ELEMENT.,$,$);#26=IFCRELAGGREGATES('a',$,$,$,#6,(#25));", "#25")
	if len(r.House.Rooms) != 1 || !strings.Contains(r.House.Rooms[0].Note, "footprint") || !near(polygonOf(r.House.Rooms[0].Outline).area(), 1, 1e-9) {
		t.Errorf("%+v; %v", r.House.Rooms, r.Unread)
	}
	if id := r.House.Rooms[0].ID; id != "room-7" { // a number alone is no identity
		t.Errorf("a room named 7 is called %s", id)
	}
}

func TestRestIsListed(t *testing.T) {
	r := imported(t, "#20=IFCFURNITURE('f',$,'Table',$,$,#5,$,$,$);#21=IFCSTAIR('g',$,'Stairs',$,$,#5,$,$,$);#22=IFCSTAIRFLIGHT('h',$,'Flight',$,$,#5,$,$,$,$,$,$,$);"+
		"#23=IFCRELAGGREGATES('a',$,$,$,#21,(#22));#24=IFCRELAGGREGATES('b',$,$,$,#22,(#21));#25=IFCUNHEARDOF('x',$,'New',$);", "#20,#21,#25")
	var got []string
	for _, i := range r.Unread {
		got = append(got, i.Entity+" "+i.Name)
	}
	if want := "#20 Table|#21 Stairs|#22 Flight|#25 New"; strings.Join(got, "|") != want {
		t.Errorf("%v, want %s", got, want)
	}
	if s := r.Summary(); len(s) != 4 || !strings.Contains(strings.Join(s, "\n"), "1 × furniture") {
		t.Errorf("summary %v", s)
	}
	if s := r.Unread[0].String(); !strings.Contains(s, "#20 line ") || !strings.Contains(s, "IFCFURNITURE \"Table\"") {
		t.Errorf("an item reads %q", s)
	}
}

// TestGroupsAreCircuits reads circuits given as groups, as ISO 16739 has them, on the only board.
func TestGroupsAreCircuits(t *testing.T) {
	r := imported(t, "#20=IFCLIGHTFIXTURE('l',$,'Lamp',$,$,#5,$,$,$);#21=IFCELECTRICDISTRIBUTIONBOARD('b',$,'Board',$,$,#5,$,$,$);"+
		"#22=IFCDISTRIBUTIONCIRCUIT('c',$,'F 3',$,$,$,$);#23=IFCRELASSIGNSTOGROUP('g',$,$,$,(#20),$,#22);", "#20,#21")
	h := r.House
	if len(h.Circuits) != 1 || h.Circuits[0].ID != "board.f-3" || len(h.Points) != 1 || h.Points[0].Circuit != "board.f-3" {
		t.Errorf("circuits %v, points %v", h.Circuits, h.Points)
	}
}

// TestProxies: a proxy is an electrical element only if something says so clearly.
func TestProxies(t *testing.T) {
	r := imported(t, "#20=IFCBUILDINGELEMENTPROXY('a',$,'Lichtschacht',$,$,#5,$,$,$);#21=IFCBUILDINGELEMENTPROXY('b',$,'Rauchmelder 1',$,$,#5,$,$,$);"+
		"#22=IFCBUILDINGELEMENTPROXY('c',$,'Stehlampe',$,$,#5,$,$,$);#23=IFCPROPERTYSINGLEVALUE('Panel',$,IFCLABEL('UV 1'),$);#24=IFCPROPERTYSET('p',$,'E',$,(#23));"+
		"#25=IFCRELDEFINESBYPROPERTIES('r',$,$,$,(#22),#24);", "#20,#21,#22")
	var got []string
	for _, m := range r.Mapped {
		got = append(got, m.Name+" "+string(m.Role))
	}
	if strings.Join(got, "|") != "Rauchmelder 1 contact|Stehlampe lamp" {
		t.Errorf("%v", got)
	}
	if len(r.House.Boards) != 1 || r.House.Boards[0].ID != "uv-1" || r.House.Boards[0].Note == "" {
		t.Errorf("a board that only circuits name: %v", r.House.Boards)
	}
}

// TestOutside: courtyards are inside what surrounds them only if no open ground leads there.
func TestOutside(t *testing.T) {
	wall := func(id house.ID, x1, y1, x2, y2 float64) house.Wall {
		return house.Wall{ID: id, From: house.XY{X: x1, Y: y1}, To: house.XY{X: x2, Y: y2}, Thickness: metres(0.2), Height: metres(2.5)}
	}
	b := &builder{house: &house.House{Walls: []house.Wall{
		wall("south", 0, 0, 10, 0), wall("east", 10, 0, 10, 8), wall("north", 10, 8, 0, 8), wall("west", 0, 8, 0, 0),
		wall("partition", 5, 0, 5, 8), wall("stub", 2, 3, 4, 3), wall("garden", 13, 0, 13, 5)}}, result: &Result{}, wallOf: map[key][]house.ID{}}
	b.rooms = []room{newRoom(space{outline: outline{edge: polygon{{0.1, 0.1}, {4.9, 0.1}, {4.9, 7.9}, {0.1, 7.9}}}, high: 2.5}, "a", "ground")}
	b.outerWalls()
	for _, w := range b.house.Walls {
		want := w.ID != "partition" && w.ID != "stub"
		if w.External != want {
			t.Errorf("%s external: %v, want %v", w.ID, w.External, want)
		}
	}
}
