package scene

import (
	"fmt"
	"slices"
	"strings"
)

// DXF renders the scene as a drawing exchange file (release 2007, AC1021, UTF-8) in metres of the house, one layer a
// layer of the scene. A scene without a Model is written in millimetres of the sheet, y upward. Every shape becomes a
// lightweight polyline, a circle or a text; fills are left out, since a plan is read by its lines, and so is what only
// knocks out.
func (s *Scene) DXF() []byte {
	w := &dxf{model: Model{Scale: 1000, OriginY: s.Height}, next: 0x100}
	if s.Model != nil {
		w.model = *s.Model
	}
	w.head()
	w.tables(s.layers())
	w.blocks()
	w.put(0, "SECTION", 2, "ENTITIES")
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			w.shape(i.Layer, sh)
		}
	}
	w.put(0, "ENDSEC")
	w.put(0, "SECTION", 2, "OBJECTS", 0, "DICTIONARY", 5, "C", 330, "0", 100, "AcDbDictionary", 281, 1, 3, "ACAD_GROUP", 350, "D",
		0, "DICTIONARY", 5, "D", 330, "C", 100, "AcDbDictionary", 281, 1, 0, "ENDSEC", 0, "EOF")
	return []byte(w.b.String())
}

// layers lists the layers of the scene in order of appearance.
func (s *Scene) layers() []string {
	var list []string
	for _, i := range s.Items {
		if !slices.Contains(list, i.Layer) {
			list = append(list, i.Layer)
		}
	}
	return list
}

// dxf writes pairs of group code and value.
type dxf struct {
	b     strings.Builder
	model Model
	next  int // next free handle
}

func (w *dxf) put(pairs ...any) {
	for i := 0; i+1 < len(pairs); i += 2 {
		fmt.Fprintf(&w.b, "%3d\n%v\n", pairs[i], pairs[i+1])
	}
}

func (w *dxf) handle() string {
	w.next++
	return fmt.Sprintf("%X", w.next)
}

func (w *dxf) head() {
	w.put(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1021", 9, "$DWGCODEPAGE", 3, "ANSI_1252", 9, "$INSUNITS", 70, 6, 9, "$MEASUREMENT", 70, 1,
		9, "$HANDSEED", 5, "FFFFF", 0, "ENDSEC")
	w.put(0, "SECTION", 2, "CLASSES", 0, "ENDSEC")
}

func (w *dxf) table(name, handle string, count int) {
	w.put(0, "TABLE", 2, name, 5, handle, 330, "0", 100, "AcDbSymbolTable", 70, count)
}

func (w *dxf) tables(layers []string) {
	w.put(0, "SECTION", 2, "TABLES")
	w.table("VPORT", "8", 0)
	w.put(0, "ENDTAB")
	w.table("LTYPE", "5", 3)
	for _, name := range []string{"ByBlock", "ByLayer", "Continuous"} {
		w.put(0, "LTYPE", 5, w.handle(), 330, "5", 100, "AcDbSymbolTableRecord", 100, "AcDbLinetypeTableRecord", 2, name, 70, 0, 3, "", 72, 65, 73, 0, 40, "0.0")
	}
	w.put(0, "ENDTAB")
	w.table("LAYER", "2", len(layers)+1)
	for i, name := range append([]string{"0"}, layers...) {
		w.put(0, "LAYER", 5, w.handle(), 330, "2", 100, "AcDbSymbolTableRecord", 100, "AcDbLayerTableRecord", 2, name, 70, 0, 62, []int{7, 8, 7, 9, 7, 5, 6, 3}[i%8], 6, "Continuous", 370, -3, 390, "F")
	}
	w.put(0, "ENDTAB")
	w.table("STYLE", "3", 1)
	w.put(0, "STYLE", 5, w.handle(), 330, "3", 100, "AcDbSymbolTableRecord", 100, "AcDbTextStyleTableRecord", 2, "Standard", 70, 0, 40, "0.0", 41, "1.0", 50, "0.0", 71, 0, 42, "1.0", 3, "arial.ttf", 4, "")
	w.put(0, "ENDTAB")
	for _, t := range []struct{ name, handle string }{{"VIEW", "6"}, {"UCS", "7"}} {
		w.table(t.name, t.handle, 0)
		w.put(0, "ENDTAB")
	}
	w.table("APPID", "9", 1)
	w.put(0, "APPID", 5, w.handle(), 330, "9", 100, "AcDbSymbolTableRecord", 100, "AcDbRegAppTableRecord", 2, "ACAD", 70, 0, 0, "ENDTAB")
	w.table("DIMSTYLE", "A", 0)
	w.put(100, "AcDbDimStyleTable", 0, "ENDTAB")
	w.table("BLOCK_RECORD", "1", 2)
	for _, r := range []struct{ name, handle string }{{"*Model_Space", "1F"}, {"*Paper_Space", "1B"}} {
		w.put(0, "BLOCK_RECORD", 5, r.handle, 330, "1", 100, "AcDbSymbolTableRecord", 100, "AcDbBlockTableRecord", 2, r.name)
	}
	w.put(0, "ENDTAB", 0, "ENDSEC")
}

func (w *dxf) blocks() {
	w.put(0, "SECTION", 2, "BLOCKS")
	for _, r := range []struct{ name, record string }{{"*Model_Space", "1F"}, {"*Paper_Space", "1B"}} {
		w.put(0, "BLOCK", 5, w.handle(), 330, r.record, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockBegin", 2, r.name, 70, 0, 10, "0.0", 20, "0.0", 30, "0.0", 3, r.name, 1, "",
			0, "ENDBLK", 5, w.handle(), 330, r.record, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockEnd")
	}
	w.put(0, "ENDSEC")
}

func (w *dxf) shape(layer string, sh Shape) {
	switch sh := sh.(type) {
	case Path:
		if len(sh.Points) < 2 || sh.Role == Paper {
			return
		}
		w.entity("LWPOLYLINE", layer, "AcDbPolyline")
		w.put(90, len(sh.Points), 70, btoi(sh.Closed))
		for _, p := range sh.Points {
			x, y := w.at(p)
			w.put(10, x, 20, y)
		}
	case Circle:
		x, y := w.at(sh.Centre)
		w.entity("CIRCLE", layer, "AcDbCircle")
		w.put(10, x, 20, y, 30, "0.0", 40, w.length(sh.Radius))
	case Text:
		x, y := w.at(sh.At)
		w.entity("TEXT", layer, "AcDbText")
		w.put(10, x, 20, y, 30, "0.0", 40, w.length(sh.Size), 1, oneLine(sh.String), 50, mm(sh.Turn), 72, int(sh.Anchor))
		if sh.Anchor != Start {
			w.put(11, x, 21, y, 31, "0.0")
		}
		w.put(100, "AcDbText")
	}
}

func (w *dxf) entity(kind, layer, class string) {
	w.put(0, kind, 5, w.handle(), 330, "1F", 100, "AcDbEntity", 8, layer, 100, class)
}

func (w *dxf) at(p Point) (string, string) {
	k := w.model.Scale / 1000
	return metres(w.model.OriginX + p.X*k), metres(w.model.OriginY - p.Y*k)
}

func (w *dxf) length(v float64) string { return metres(v * w.model.Scale / 1000) }

// metres prints to a hundredth of a millimetre.
func metres(v float64) string { return fmt.Sprintf("%.5f", v) }

// oneLine keeps a text on the one line that a group value has, and keeps its carets and percent signs from being read as
// codes: a blank comes between two percent signs, since readers do not agree on how to escape them.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	for strings.Contains(s, "%%") {
		s = strings.ReplaceAll(s, "%%", "% %")
	}
	return strings.ReplaceAll(strings.ToValidUTF8(s, string(Lost)), "^", "^ ")
}
