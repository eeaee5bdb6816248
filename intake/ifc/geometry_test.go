package ifc

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/intake/step"
)

// snippet makes a model of records; #1 to #9 are taken by what every model needs. Lengths are in metres unless the records say
// otherwise.
func snippet(tb testing.TB, records string) *model {
	tb.Helper()
	f, err := step.Parse("snippet.ifc", []byte(snippetText(records)), step.Limits{})
	if err != nil {
		tb.Fatal(err)
	}
	m, err := open(f)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

func snippetText(records string) string {
	return "ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n#1=IFCCARTESIANPOINT((0.,0.,0.));\n#2=IFCDIRECTION((0.,0.,1.));\n" +
		"#3=IFCDIRECTION((1.,0.,0.));\n#4=IFCAXIS2PLACEMENT3D(#1,#2,#3);\n#5=IFCLOCALPLACEMENT($,#4);\n#6=IFCBUILDINGSTOREY('storey',$,'Ground',$,$,#5,$,$,.ELEMENT.,0.);\n" +
		records + "\nENDSEC;\nEND-ISO-10303-21;\n"
}

// item reads one representation item of a snippet.
func (m *model) testItem(id step.ID) (shape, error) {
	var s shape
	err := m.item(entity{Record: &step.Record{ID: 999, Keyword: "TEST"}}, id, world, &s, 0)
	return s, err
}

const unitSquare = "#10=IFCCARTESIANPOINT((0.,0.));#11=IFCCARTESIANPOINT((1.,0.));#12=IFCCARTESIANPOINT((1.,1.));#13=IFCCARTESIANPOINT((0.,1.));" +
	"#14=IFCPOLYLINE((#10,#11,#12,#13,#10));"

// TestFootprints gives one shape each of every kind that is read, with the area that it covers and its lowest and highest z.
func TestFootprints(t *testing.T) {
	square := unitSquare + "#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#16=IFCEXTRUDEDAREASOLID(#15,$,#2,3.);"
	cube := "#20=IFCCARTESIANPOINT((0.,0.,0.));#21=IFCCARTESIANPOINT((2.,0.,0.));#22=IFCCARTESIANPOINT((2.,1.,0.));#23=IFCCARTESIANPOINT((0.,1.,0.));" +
		"#24=IFCCARTESIANPOINT((0.,0.,2.));#25=IFCCARTESIANPOINT((2.,0.,2.));#26=IFCCARTESIANPOINT((2.,1.,2.));#27=IFCCARTESIANPOINT((0.,1.,2.));" +
		loopFace(30, "#20,#23,#22,#21") + loopFace(33, "#24,#25,#26,#27") + loopFace(36, "#20,#21,#25,#24") + loopFace(39, "#21,#22,#26,#25") +
		loopFace(42, "#22,#23,#27,#26") + loopFace(45, "#23,#20,#24,#27")
	faces := "(#32,#35,#38,#41,#44,#47)"
	mesh := "#20=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(2.,0.,0.),(2.,1.,0.),(0.,1.,0.),(0.,0.,2.),(2.,0.,2.),(2.,1.,2.),(0.,1.,2.)));"
	for _, c := range []struct {
		name, records string
		item          step.ID
		area          float64
		low, high     float64
	}{
		{"extrusion", square, 16, 1, 0, 3},
		{"extrusion downwards", unitSquare + "#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#17=IFCDIRECTION((0.,0.,-1.));#16=IFCEXTRUDEDAREASOLID(#15,$,#17,3.);", 16, 1, -3, 0},
		{"extrusion aslant", unitSquare + "#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#17=IFCDIRECTION((1.,0.,1.));#16=IFCEXTRUDEDAREASOLID(#15,$,#17,1.4142135623730951);", 16, 2, 0, 1},
		{"extrusion sideways", unitSquare + "#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#17=IFCAXIS2PLACEMENT3D(#1,#3,#2);#16=IFCEXTRUDEDAREASOLID(#15,#17,#2,2.5);", 16, 2.5, 0, 1},
		{"rectangle", "#10=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,4.,2.5);#16=IFCEXTRUDEDAREASOLID(#10,$,#2,1.);", 16, 10, 0, 1},
		{"rectangle turned by 30 degrees", "#9=IFCDIRECTION((0.8660254037844387,0.5));#8=IFCAXIS2PLACEMENT2D(#1,#9);#10=IFCRECTANGLEPROFILEDEF(.AREA.,$,#8,4.,2.5);#16=IFCEXTRUDEDAREASOLID(#10,$,#2,1.);", 16, 10, 0, 1},
		{"hollow rectangle", "#10=IFCRECTANGLEHOLLOWPROFILEDEF(.AREA.,$,$,4.,2.,0.5,$,$);#16=IFCEXTRUDEDAREASOLID(#10,$,#2,1.);", 16, 8 - 3, 0, 1},
		{"circle", "#10=IFCCIRCLEPROFILEDEF(.AREA.,$,$,2.);#16=IFCEXTRUDEDAREASOLID(#10,$,#2,1.);", 16, 72 * 0.5 * 4 * math.Sin(2*math.Pi/72), 0, 1},
		{"ellipse", "#10=IFCELLIPSEPROFILEDEF(.AREA.,$,$,2.,1.);#16=IFCEXTRUDEDAREASOLID(#10,$,#2,1.);", 16, 72 * 0.5 * 2 * math.Sin(2*math.Pi/72), 0, 1},
		{"profile with voids", unitSquare + "#20=IFCCARTESIANPOINT((0.2,0.2));#21=IFCCARTESIANPOINT((0.7,0.2));#22=IFCCARTESIANPOINT((0.7,0.6));#23=IFCPOLYLINE((#20,#21,#22,#20));" +
			"#15=IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,$,#14,(#23));#16=IFCEXTRUDEDAREASOLID(#15,$,#2,1.);", 16, 1 - 0.1, 0, 1},
		{"mirrored profile", square + "#17=IFCMIRROREDPROFILEDEF(.AREA.,$,#15,$,$);#18=IFCEXTRUDEDAREASOLID(#17,$,#2,1.);", 18, 1, 0, 1},
		{"composite profile", square + "#17=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,1.,1.);#18=IFCCOMPOSITEPROFILEDEF(.AREA.,$,(#15,#17),$);#19=IFCEXTRUDEDAREASOLID(#18,$,#2,1.);", 19, 1.75, 0, 1},
		{"clipped", square + "#17=IFCHALFSPACESOLID($,.F.);#18=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#16,#17);#19=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#18,#17);", 19, 1, 0, 3},
		{"union", square + "#17=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,1.,1.);#18=IFCEXTRUDEDAREASOLID(#17,$,#2,1.);#19=IFCBOOLEANRESULT(.UNION.,#16,#18);", 19, 1.75, 0, 3},
		{"bounding box", "#10=IFCBOUNDINGBOX(#1,3.,2.,1.);", 10, 6, 0, 1},
		{"mapped, twice as large", square + "#17=IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#16));#18=IFCREPRESENTATIONMAP(#4,#17);#19=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#1,2.,$);#20=IFCMAPPEDITEM(#18,#19);", 20, 4, 0, 6},
		{"mapped, stretched", square + "#17=IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#16));#18=IFCREPRESENTATIONMAP(#4,#17);#19=IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM($,$,#1,2.,$,3.,0.5);#20=IFCMAPPEDITEM(#18,#19);", 20, 6, 0, 1.5},
		{"faceted body", cube + "#50=IFCCLOSEDSHELL(" + faces + ");#51=IFCFACETEDBREP(#50);", 51, 2, 0, 2},
		{"surface model", cube + "#50=IFCCONNECTEDFACESET(" + faces + ");#51=IFCFACEBASEDSURFACEMODEL((#50));", 51, 2, 0, 2},
		{"triangles", mesh + "#21=IFCTRIANGULATEDFACESET(#20,$,.T.,((1,2,3),(1,3,4),(5,6,7),(5,7,8),(1,2,6),(1,6,5)),$);", 21, 2, 0, 2},
		{"polygons", mesh + "#22=IFCINDEXEDPOLYGONALFACE((1,2,3,4));#23=IFCINDEXEDPOLYGONALFACE((5,6,7,8));#21=IFCPOLYGONALFACESET(#20,.T.,(#22,#23),$);", 21, 2, 0, 2},
		{"polygon with hole", mesh + "#19=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(4.,0.,0.),(4.,4.,0.),(0.,4.,0.),(1.,1.,0.),(2.,1.,0.),(2.,2.,0.),(1.,2.,0.)));#22=IFCINDEXEDPOLYGONALFACEWITHVOIDS((1,2,3,4),((5,6,7,8)));#21=IFCPOLYGONALFACESET(#19,.F.,(#22),$);", 21, 15, 0, 0},
		{"curves", unitSquare + "#15=IFCGEOMETRICCURVESET((#14));", 15, 1, 0, 0},
		{"separate lines", unitSquare + "#15=IFCPOLYLINE((#10,#11,#12));#17=IFCPOLYLINE((#10,#13,#12));#16=IFCGEOMETRICCURVESET((#15,#17));", 16, 1, 0, 0},
		{"edges", edgeLoop, 60, 1, 0, 0},
	} {
		m := snippet(t, c.records)
		s, err := m.testItem(c.item)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		e, _ := m.find(c.item)
		o, remark, err := m.footprint(e, &s)
		if err != nil || remark != "" || !near(o.area(), c.area, 1e-3) {
			t.Errorf("%s covers %.5f m², want %.5f (%v %s)", c.name, o.area(), c.area, err, remark)
		}
		if low, high, ok := s.span(); ok && (!near(low, c.low, 1e-9) || !near(high, c.high, 1e-9)) {
			t.Errorf("%s reaches from %v to %v, want %v to %v", c.name, low, high, c.low, c.high)
		}
	}
}

// loopFace writes a face of three records from number n on.
func loopFace(n int, points string) string {
	return fmt.Sprintf("#%d=IFCPOLYLOOP((%s));#%d=IFCFACEOUTERBOUND(#%d,.T.);#%d=IFCFACE((#%d));", n, points, n+1, n, n+2, n+1)
}

// edgeLoop is a body of one face given by edges, one of them against its sense.
const edgeLoop = unitSquare + "#20=IFCVERTEXPOINT(#10);#21=IFCVERTEXPOINT(#11);#22=IFCVERTEXPOINT(#12);#23=IFCVERTEXPOINT(#13);" +
	"#30=IFCEDGECURVE(#20,#21,$,.T.);#31=IFCEDGECURVE(#22,#21,$,.T.);#32=IFCEDGECURVE(#22,#23,$,.T.);#33=IFCEDGECURVE(#23,#20,$,.T.);" +
	"#40=IFCORIENTEDEDGE(*,*,#30,.T.);#41=IFCORIENTEDEDGE(*,*,#31,.F.);#42=IFCORIENTEDEDGE(*,*,#32,.T.);#43=IFCORIENTEDEDGE(*,*,#33,.T.);" +
	"#50=IFCEDGELOOP((#40,#41,#42,#43));#51=IFCFACEOUTERBOUND(#50,.T.);#52=IFCADVANCEDFACE((#51),$,.T.);#53=IFCCLOSEDSHELL((#52));#60=IFCADVANCEDBREP(#53);"

func TestCurves(t *testing.T) {
	degrees := "#90=IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.);#91=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(0.017453292519943295),#90);#92=IFCCONVERSIONBASEDUNIT($,.PLANEANGLEUNIT.,'DEGREE',#91);#93=IFCUNITASSIGNMENT((#92));"
	circle := "#10=IFCAXIS2PLACEMENT2D(#1,$);#11=IFCCIRCLE(#10,2.);"
	for _, c := range []struct {
		name, records string
		id            step.ID
		first, last   point
		most          float64 // how far the middle of the row lies from the origin, in x + y
	}{
		{"quarter in degrees", degrees + circle + "#12=IFCTRIMMEDCURVE(#11,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(90.)),.T.,.PARAMETER.);", 12, point{2, 0}, point{0, 2}, 2 * math.Sqrt2},
		{"quarter in radians", circle + "#12=IFCTRIMMEDCURVE(#11,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(1.5707963267948966)),.T.,.PARAMETER.);", 12, point{2, 0}, point{0, 2}, 2 * math.Sqrt2},
		{"the other way round", degrees + circle + "#12=IFCTRIMMEDCURVE(#11,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(90.)),.F.,.PARAMETER.);", 12, point{2, 0}, point{0, 2}, -2 * math.Sqrt2},
		{"by points", circle + "#13=IFCCARTESIANPOINT((2.,0.));#14=IFCCARTESIANPOINT((0.,2.));#12=IFCTRIMMEDCURVE(#11,(#13),(#14),.T.,.CARTESIAN.);", 12, point{2, 0}, point{0, 2}, 2 * math.Sqrt2},
		{"line", "#10=IFCVECTOR(#3,2.);#11=IFCLINE(#1,#10);#12=IFCTRIMMEDCURVE(#11,(IFCPARAMETERVALUE(1.)),(IFCPARAMETERVALUE(2.5)),.T.,.PARAMETER.);", 12, point{2, 0}, point{5, 0}, 5},
		{"composite with a reversed segment", unitSquare + "#20=IFCPOLYLINE((#10,#11));#21=IFCPOLYLINE((#13,#12,#11));#22=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#20);#23=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.F.,#21);#24=IFCCOMPOSITECURVE((#22,#23),.F.);", 24, point{0, 0}, point{0, 1}, 2},
		{"indexed with an arc", "#10=IFCCARTESIANPOINTLIST2D(((2.,0.),(1.4142135623730951,1.4142135623730951),(0.,2.),(0.,0.)));#11=IFCINDEXEDPOLYCURVE(#10,(IFCARCINDEX((1,2,3)),IFCLINEINDEX((3,4))),.F.);", 11, point{2, 0}, point{0, 0}, 2.8},
		{"indexed plain", "#10=IFCCARTESIANPOINTLIST2D(((2.,0.),(1.,1.),(0.,2.)));#11=IFCINDEXEDPOLYCURVE(#10,$,.F.);", 11, point{2, 0}, point{0, 2}, 2},
	} {
		m := snippet(t, c.records)
		p, err := m.curve(entity{Record: &step.Record{}}, c.id, 0)
		if err != nil || len(p) < 2 {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		mid := p[len(p)/2]
		if p[0].flat().minus(c.first).length() > 1e-9 || p[len(p)-1].flat().minus(c.last).length() > 1e-9 || !near(mid.X+mid.Y, c.most, 0.2) {
			t.Errorf("%s runs %v … %v … %v", c.name, p[0], mid, p[len(p)-1])
		}
	}
}

func TestUnits(t *testing.T) {
	project := "#20=IFCPROJECT('p',$,$,$,$,$,$,$,#21);"
	for _, c := range []struct {
		name, records       string
		length, area, angle float64
	}{
		{"none", "", 1, 1, 1},
		{"millimetres without an area unit", project + "#21=IFCUNITASSIGNMENT((#22));#22=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);", 0.001, 1e-6, 1},
		{"millimetres and square metres", project + "#21=IFCUNITASSIGNMENT((#22,#23));#22=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);#23=IFCSIUNIT(*,.AREAUNIT.,$,.SQUARE_METRE.);", 0.001, 1, 1},
		{"square centimetres", project + "#21=IFCUNITASSIGNMENT((#23));#23=IFCSIUNIT(*,.AREAUNIT.,.CENTI.,.SQUARE_METRE.);", 1, 1e-4, 1},
		{"feet", project + "#21=IFCUNITASSIGNMENT((#22));#22=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'FOOT',#23);#23=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(0.3048),#24);#24=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);", 0.3048, 0.3048 * 0.3048, 1},
		{"inches of millimetres", project + "#21=IFCUNITASSIGNMENT((#22));#22=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'INCH',#23);#23=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(25.4),#24);#24=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);", 0.0254, 0.0254 * 0.0254, 1},
		{"in a circle", project + "#21=IFCUNITASSIGNMENT((#22));#22=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'X',#23);#23=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(2.),#22);", 1, 1, 1},
		{"nothing", project + "#21=IFCUNITASSIGNMENT((#22));#22=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'X',#23);#23=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(0.),#24);#24=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);", 1, 1, 1},
	} {
		u := snippet(t, c.records).units
		if !near(u.length/c.length, 1, 1e-9) || !near(u.area/c.area, 1, 1e-9) || !near(u.angle/c.angle, 1, 1e-9) {
			t.Errorf("%s: %+v", c.name, u)
		}
	}
}

func TestPlacementChain(t *testing.T) {
	// A quarter turn to the left at (10, 0), in it a step of 2 along x and half a metre up, in it a reference direction that is
	// not square to the axis.
	m := snippet(t, "#10=IFCCARTESIANPOINT((10.,0.,0.));#11=IFCDIRECTION((0.,1.,0.));#12=IFCAXIS2PLACEMENT3D(#10,$,#11);#13=IFCLOCALPLACEMENT(#5,#12);"+
		"#14=IFCCARTESIANPOINT((2.,0.,0.5));#15=IFCDIRECTION((1.,0.,1.));#16=IFCAXIS2PLACEMENT3D(#14,#2,#15);#17=IFCLOCALPLACEMENT(#13,#16);")
	f, err := m.placement(entity{Record: &step.Record{}}, 17, 0)
	if err != nil {
		t.Fatal(err)
	}
	if f.o.minus(vec{10, 2, 0.5}).length() > 1e-12 || f.x.minus(vec{0, 1, 0}).length() > 1e-12 || f.y.minus(vec{-1, 0, 0}).length() > 1e-12 {
		t.Errorf("%+v", f)
	}
}

// hostile models refer to themselves or grow without end; each names the entity that must be said to be unreadable.
var hostile = []struct{ name, records, entity string }{
	{"placement of itself", "#20=IFCLOCALPLACEMENT(#20,#4);" + spaceAt("#20"), "#20"},
	{"placements in a circle", "#20=IFCLOCALPLACEMENT(#21,#4);#21=IFCLOCALPLACEMENT(#20,#4);" + spaceAt("#20"), "in a circle"},
	{"mapped item of itself", "#20=IFCMAPPEDITEM(#21,$);#21=IFCREPRESENTATIONMAP(#4,#22);#22=IFCSHAPEREPRESENTATION($,'Body','X',(#20));" + spaceOf("#20"), "nested"},
	{"clipping of itself", "#20=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#20,#20);" + spaceOf("#20"), "nested"},
	{"union of itself", "#20=IFCBOOLEANRESULT(.UNION.,#20,#20);" + spaceOf("#20"), "#20"},
	{"curve of itself", "#21=IFCCOMPOSITECURVESEGMENT(.C.,.T.,#22);#22=IFCCOMPOSITECURVE((#21,#21),.F.);#23=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#22);#20=IFCEXTRUDEDAREASOLID(#23,$,#2,1.);" + spaceOf("#20"), "#22"},
	{"profile of itself", "#23=IFCDERIVEDPROFILEDEF(.AREA.,$,#23,$,$);#20=IFCEXTRUDEDAREASOLID(#23,$,#2,1.);" + spaceOf("#20"), "#23"},
	{"curve set of itself", "#20=IFCGEOMETRICCURVESET((#20,#20,#20));" + spaceOf("#20"), "#20"},
	{"reference to nothing", "#20=IFCEXTRUDEDAREASOLID(#77,$,#2,1.);" + spaceOf("#20"), "#77"},
	{"reference to something else", "#20=IFCEXTRUDEDAREASOLID(#2,$,#2,1.);" + spaceOf("#20"), "#2 IFCDIRECTION"},
	{"numbers without end", unitSquare + "#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#20=IFCEXTRUDEDAREASOLID(#15,$,#2,1.E+300);" + spaceOf("#20"), "#20"},
	{"points without end", "#10=IFCCARTESIANPOINT((1.E+200,0.));#14=IFCPOLYLINE((#10,#10,#10));#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#20=IFCEXTRUDEDAREASOLID(#15,$,#2,1.);" + spaceOf("#20"), "#10"},
	{"no area", "#10=IFCCARTESIANPOINT((1.,0.));#14=IFCPOLYLINE((#10,#10,#10));#15=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#14);#20=IFCEXTRUDEDAREASOLID(#15,$,#2,1.);" + spaceOf("#20"), "no area"},
	{"doubling", doubling(30) + spaceOf("#100"), "more than"},
	{"a sphere", "#20=IFCSPHERE(#4,1.);" + spaceOf("#20"), "#20 IFCSPHERE"},
	{"nothing at all", "#51=IFCSPACE('s',$,'1',$,$,#5,$,'Room',.ELEMENT.,$,$);", "neither a body nor a footprint"},
	{"bad arguments", "#20=IFCEXTRUDEDAREASOLID(#15,,#2);" + spaceOf("#20"), "#20 IFCEXTRUDEDAREASOLID"},
}

func spaceAt(placement string) string {
	return "#52=IFCRELAGGREGATES('r',$,$,$,#6,(#51));#51=IFCSPACE('s',$,'1',$,$," + placement + ",#50,'Room',.ELEMENT.,$,$);#50=IFCPRODUCTDEFINITIONSHAPE($,$,(#49));#49=IFCSHAPEREPRESENTATION($,'Body','X',(#48));#48=IFCBOUNDINGBOX(#1,1.,1.,1.);"
}

func spaceOf(item string) string {
	return "#52=IFCRELAGGREGATES('r',$,$,$,#6,(#51));#51=IFCSPACE('s',$,'1',$,$,#5,#50,'Room',.ELEMENT.,$,$);#50=IFCPRODUCTDEFINITIONSHAPE($,$,(#49));#49=IFCSHAPEREPRESENTATION($,'Body','X',(" + item + "));"
}

// doubling makes a shape of which each level holds the next one twice.
func doubling(levels int) string {
	var b strings.Builder
	for i := range levels {
		fmt.Fprintf(&b, "#%d=IFCGEOMETRICSET((#%d,#%d));", 100+i, 101+i, 101+i)
	}
	fmt.Fprintf(&b, "#%d=IFCBOUNDINGBOX(#1,1.,1.,1.);", 100+levels)
	return b.String()
}

func TestHostileModels(t *testing.T) {
	for _, c := range hostile {
		r, err := Import("hostile.ifc", []byte(snippetText(c.records)), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		said := ""
		for _, i := range r.Unread {
			said += i.String() + "\n"
			if i.Line == 0 || i.Entity == "" {
				t.Errorf("%s: an item without line or entity: %v", c.name, i)
			}
		}
		if !strings.Contains(said, c.entity) || len(r.House.Rooms) > 0 {
			t.Errorf("%s: %d rooms; not read: %q, want something about %s", c.name, len(r.House.Rooms), said, c.entity)
		}
	}
}

func TestNoModel(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"foreign":       {"hello", "ISO-10303-21"},
		"cut":           {string(cottage()[:20_000]), "cut short"},
		"other schema":  {strings.Replace(snippetText(""), "IFC4", "AP203", 1), "AP203"},
		"two of a kind": {snippetText("#1=IFCWALL($);"), "stands twice"},
	} {
		if _, err := Import("x.ifc", []byte(c.text), Options{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v does not say %q", name, err, c.want)
		}
	}
	if r, err := Import("x.ifc", []byte(snippetText("")), Options{}); err != nil || len(r.House.Storeys) != 1 {
		t.Errorf("an empty model: %v", err)
	}
}

// TestUnionProperty compares the union of rectangles on a grid with a count of the cells that they cover.
func TestUnionProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 8
		covered := [n][n]bool{}
		var parts []outline
		for range rapid.IntRange(1, 6).Draw(t, "rectangles") {
			x, y := rapid.IntRange(0, n-2).Draw(t, "x"), rapid.IntRange(0, n-2).Draw(t, "y")
			w, h := rapid.IntRange(1, n-1-x).Draw(t, "w"), rapid.IntRange(1, n-1-y).Draw(t, "h")
			a, b := point{float64(x), float64(y)}, point{float64(x + w), float64(y + h)}
			p := polygon{a, {b.X, a.Y}, b, {a.X, b.Y}}
			if rapid.Bool().Draw(t, "clockwise") {
				p[1], p[3] = p[3], p[1]
			}
			parts = append(parts, outline{edge: p})
			for i := x; i < x+w; i++ {
				for j := y; j < y+h; j++ {
					covered[i][j] = true
				}
			}
		}
		want := 0.0
		for i := range n {
			for j := range n {
				want += float64(count(covered[i][j]))
			}
		}
		got := 0.0
		for _, o := range union(parts) {
			got += o.area()
		}
		if !near(got, want, 1e-6) {
			t.Fatalf("%d rectangles cover %v cells; the union has %v", len(parts), want, got)
		}
	})
}

func TestUnionKeepsHoles(t *testing.T) {
	bar := func(x1, y1, x2, y2 float64) outline {
		return outline{edge: polygon{{x1, y1}, {x2, y1}, {x2, y2}, {x1, y2}}}
	}
	got := union([]outline{bar(0, 0, 4, 1), bar(3, 0, 4, 4), bar(0, 3, 4, 4), bar(0, 0, 1, 4)})
	if len(got) != 1 || len(got[0].holes) != 1 || !near(got[0].area(), 12, 1e-6) {
		t.Errorf("a frame of four bars: %+v", got)
	}
	if got := union([]outline{bar(0, 0, 1, 1), bar(1, 1, 2, 2)}); len(got) != 2 {
		t.Errorf("two squares that touch in a corner are %d areas", len(got))
	}
}

// TestSmallestRectangleProperty turns a rectangle of known sides by any angle.
func TestSmallestRectangleProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		long, wide := rapid.Float64Range(1, 20).Draw(t, "long"), rapid.Float64Range(0.05, 0.9).Draw(t, "wide")
		a := rapid.Float64Range(0, math.Pi).Draw(t, "angle")
		d := point{math.Cos(a), math.Sin(a)}
		o := point{rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")}
		corner := func(u, v float64) point { return o.plus(d.times(u)).plus(d.left().times(v)) }
		s, ok := smallestRectangle([]point{corner(0, 0), corner(long, wide), corner(long, 0), corner(long/3, wide/2), corner(0, wide)})
		if !ok || !near(s.width, wide, 1e-6) || !near(s.to.minus(s.from).length(), long, 1e-6) {
			t.Fatalf("a rectangle of %v by %v is found as %+v", long, wide, s)
		}
		if mid := s.from.plus(s.to).times(0.5); mid.minus(corner(long/2, wide/2)).length() > 1e-6 {
			t.Fatalf("its middle is found at %v", mid)
		}
	})
}

// TestInnerProperty: the inner point of an L lies in it.
func TestInnerProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(1, 9).Draw(t, "w"), rapid.Float64Range(1, 9).Draw(t, "h")
		x, y := rapid.Float64Range(0.1, 0.9).Draw(t, "x")*w, rapid.Float64Range(0.1, 0.9).Draw(t, "y")*h
		o := outline{edge: polygon{{0, 0}, {w, 0}, {w, y}, {x, y}, {x, h}, {0, h}}}
		if p := o.inner(); !o.holds(p) {
			t.Fatalf("%v is not in %v", p, o.edge)
		}
	})
}

func TestTidy(t *testing.T) {
	p := polygon{{1, 1}, {1, 0.5}, {1, 0}, {0.5, 0}, {0, 0}, {0, 0.00001}, {0, 1}, {0.4, 1}, {1, 1}}
	got := p.tidy()
	want := polygon{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	if !got.same(want) {
		t.Errorf("%v, want %v", got, want)
	}
	if (polygon{{0, 0}, {1, 1}, {2, 2}}).tidy() != nil {
		t.Error("a line is no outline")
	}
}

func TestOffsetLine(t *testing.T) {
	got := offsetLine([]point{{0, 0}, {4, 0}, {4, 3}}, 0.5) // to the left: inside the corner
	want := []point{{0, 0.5}, {3.5, 0.5}, {3.5, 3}}
	for i := range want {
		if got[i].minus(want[i]).length() > 1e-9 {
			t.Errorf("%v, want %v", got, want)
		}
	}
}
