package scene

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/go-pdf/fpdf"
)

// hostile are names that a drawing must carry unharmed, whatever they look like to a format.
var hostile = []string{
	`</text><script>alert(1)</script>`, `"quoted" & 'single' <&amp;>`, "Küche Łódź žluťoučký кухня", "a %%d b %% c %c", "caret ^I ^ end", "]]> <!-- -->", "∅ ✓ ≥ 2.5 mm²",
}

// sample is a sheet with every kind of shape, in every role, with hostile names.
func sample() *Scene {
	s := &Scene{Title: `Ground "storey" <1>`, Width: 100, Height: 60, Model: &Model{Scale: 100, OriginX: -1, OriginY: 5}}
	for i, p := range pens {
		y := float64(i)
		s.Add(Item{Layer: "areas", Label: string(p.role), Shapes: []Shape{
			Path{Role: p.role, Points: []Point{{0, y}, {10, y}, {10, y + 1}}, Closed: true, Filled: true},
			Circle{Role: p.role, Centre: Point{20, y}, Radius: 1.5, Filled: i%2 == 0, Width: 0.4},
			Path{Role: p.role, Points: []Point{{30, y}, {40, y}}, Dashed: true, Width: 0.15}}})
	}
	for i, name := range hostile {
		s.Add(Item{Layer: "points", Entity: "point" + name, Label: name, Shapes: []Shape{
			Text{Role: Label, At: Point{50, float64(5 * i)}, Size: 2, Anchor: Anchor(i % 3), Bold: i == 0, Turn: float64(i * 15), String: name}}})
	}
	return s
}

// texts are the character data of all text elements, titles are those of all title elements.
func readSVG(t *testing.T, b []byte) (texts, titles, labels []string, classes map[string]int) {
	t.Helper()
	classes = map[string]int{}
	d := xml.NewDecoder(bytes.NewReader(b))
	element := ""
	for {
		token, err := d.Token()
		if err == io.EOF {
			return texts, titles, labels, classes
		}
		if err != nil {
			t.Fatalf("the drawing is not well-formed: %v", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			element = token.Name.Local
			if element == "script" {
				t.Error("a name became a script")
			}
			for _, a := range token.Attr {
				switch a.Name.Local {
				case "class":
					classes[a.Value]++
				case "aria-label":
					labels = append(labels, a.Value)
				}
			}
		case xml.CharData:
			switch element {
			case "text":
				texts = append(texts, string(token))
			case "title":
				titles = append(titles, string(token))
			}
		case xml.EndElement:
			element = ""
		}
	}
}

func TestSVGCarriesHostileNames(t *testing.T) {
	for _, standalone := range []bool{false, true} {
		texts, titles, labels, classes := readSVG(t, sample().SVG(standalone))
		if !slices.Equal(texts, hostile) || !slices.Equal(titles, hostile) {
			t.Errorf("standalone %v: texts %q and titles %q, want %q", standalone, texts, titles, hostile)
		}
		if labels[0] != sample().Title || !slices.Contains(labels, hostile[0]) {
			t.Errorf("labels %q", labels)
		}
		for _, class := range []string{"layer layer-areas", "layer layer-points", "item", "area wall", "line wall dashed own", "area bus own", "text label", "text label bold"} {
			if classes[class] == 0 {
				t.Errorf("no element has the class %q: %v", class, classes)
			}
		}
		if classes["item"] != len(hostile) || classes["layer layer-points"] != 1 {
			t.Errorf("%d items and %d groups of points, want %d in one group", classes["item"], classes["layer layer-points"], len(hostile))
		}
	}
}

// TestSVGByAnotherParser has the drawing read by expat, an XML parser that is not ours.
func TestSVGByAnotherParser(t *testing.T) {
	out := python(t, `
import sys, xml.dom.minidom
d = xml.dom.minidom.parse(sys.argv[1])
for e in d.getElementsByTagName("text"):
    print(e.firstChild.data)
`, "scene.svg", sample().SVG(true))
	if want := strings.Join(hostile, "\n") + "\n"; out != want {
		t.Errorf("read %q, want %q", out, want)
	}
}

func TestSVGReplacesWhatNoDocumentMayHold(t *testing.T) {
	s := &Scene{Title: "x\x00y", Width: 10, Height: 10, Items: []Item{{Layer: "points", Entity: "a", Label: "bell \x07", Shapes: []Shape{
		Text{Role: Label, String: "broken \xff\xfe and \x0b"}}}}}
	texts, _, _, _ := readSVG(t, s.SVG(false))
	if len(texts) != 1 || !strings.HasPrefix(texts[0], "broken \ufffd\ufffd") {
		t.Errorf("texts %q", texts)
	}
}

func TestEveryRoleHasAPenOfItsOwn(t *testing.T) {
	style := printStyle()
	seen := map[Role]bool{}
	for _, p := range pens {
		if seen[p.role] || !strings.Contains(style, ".line."+string(p.role)+"{") || !strings.Contains(style, "."+string(p.role)+":not(.own){stroke-width:") {
			t.Errorf("role %s has no line of its own in the style sheet", p.role)
		}
		seen[p.role] = true
	}
	for _, r := range []Role{Wall, Room, Opening, Symbol, Live, Cable, Bus, Grid, Label, Quiet, FaultMark, CautionMk, RemarkMk, Wired, Radio, Paper, Highlight} {
		if !seen[r] {
			t.Errorf("role %s has no pen", r)
		}
	}
}

func TestDump(t *testing.T) {
	s := &Scene{Title: "T", Width: 10, Height: 5.5, Items: []Item{{Layer: "l", Entity: "e", Label: "says", Shapes: []Shape{
		Path{Role: Wall, Points: []Point{{0, -0.001}, {1.005, 2}}, Closed: true, Filled: true, Dashed: true, Width: 0.3},
		Circle{Role: Symbol, Centre: Point{1, 2}, Radius: 0.125, Filled: true},
		Text{Role: Label, At: Point{3, 4}, Size: 2, Anchor: Middle, Bold: true, Turn: 90, String: "a\nb"}}}}}
	want := `sheet "T" 10 x 5.5
l "e" "says"
  path wall closed filled dashed width 0.3 0,0 1,2
  circle symbol filled 1,2 r 0.13
  text label middle bold turned 90 3,4 size 2 "a\nb"
`
	if got := s.String(); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// TestDXFByAnotherReader has the drawing read and audited by ezdxf, a reader and writer that is not ours.
func TestDXFByAnotherReader(t *testing.T) {
	s := sample()
	out := python(t, `
import sys, ezdxf
d = ezdxf.readfile(sys.argv[1])
a = d.audit()
print("errors", len(a.errors), "fixes", len(a.fixes), "release", d.dxfversion, "unit", d.header["$INSUNITS"])
m = d.modelspace()
print("polylines", len(m.query("LWPOLYLINE")), "circles", len(m.query("CIRCLE")), "layers", sorted(l.dxf.name for l in d.layers if l.dxf.name not in ("0", "Defpoints")))
c = m.query("CIRCLE")[0]
print("circle %.3f %.3f %.3f" % (c.dxf.center.x, c.dxf.center.y, c.dxf.radius))
for e in m.query("TEXT"):
    print(e.plain_text(), "|", e.dxf.halign, e.dxf.rotation)
`, "scene.dxf", s.DXF())
	want := []string{"errors 0 fixes 0 release AC1021 unit 6", "", "circle 1.000 5.000 0.150"}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	for i, w := range want {
		if w != "" && (i >= len(lines) || lines[i] != w) {
			t.Errorf("line %d is %q, want %q", i+1, lines[i], w)
		}
	}
	if want := "polylines 32 circles 17 layers ['areas', 'points']"; lines[1] != want { // all but the two that knock out
		t.Errorf("entities %q, want %q", lines[1], want)
	}
	for i, name := range hostile {
		if got, _, _ := strings.Cut(lines[3+i], " | "); got != strings.ReplaceAll(name, "%%", "% %") {
			t.Errorf("text %q came back as %q", name, got)
		}
	}
}

func TestDXFOfASheetWithoutAModel(t *testing.T) {
	s := &Scene{Width: 100, Height: 50, Items: []Item{{Layer: "a", Shapes: []Shape{Circle{Role: Symbol, Centre: Point{10, 5}, Radius: 2}}}}}
	if text := string(s.DXF()); !strings.Contains(text, " 10\n10.00000\n 20\n45.00000\n") || !strings.Contains(text, " 40\n2.00000\n") {
		t.Error("a sheet without a model is not written in its own millimetres, y upward")
	}
}

// python runs a script of Debian's Python on a file; the test is skipped where that, or a module of it, is missing.
func python(t *testing.T, script, name string, data []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", "-c", script, file)
	cmd.Env = append(os.Environ(), "PYTHONIOENCODING=utf-8")
	var fault bytes.Buffer
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		if _, missing := os.Stat("/usr/bin/python3"); missing != nil || strings.Contains(fault.String(), "ModuleNotFoundError") {
			t.Skip("Debian's Python or a module of it is not installed: " + fault.String())
		}
		t.Fatalf("%v: %s", err, fault.String())
	}
	return string(out)
}

func TestPDFDrawsTheSameEachTime(t *testing.T) {
	draw := func() []byte {
		f := fpdf.New("P", "mm", "A4", "")
		f.SetCatalogSort(true)
		f.SetCreationDate(date)
		f.SetModificationDate(date)
		AddFonts(f)
		f.AddPage()
		sample().PDF(f, 20, 20)
		var b bytes.Buffer
		if err := f.Output(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	first := draw()
	if len(first) < 5000 || !bytes.Equal(first, draw()) {
		t.Error("two drawings of one scene differ")
	}
}
