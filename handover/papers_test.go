package handover

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wirewright/handover/diagram"
	"wirewright/handover/scene"
	"wirewright/house"
)

func TestPapersHoldEverything(t *testing.T) {
	p := example()
	all := squeezed(strings.Join(pages(t), "\f"))
	want := func(kind, s string) {
		if s != "" && !strings.Contains(all, squeezed(s)) {
			t.Errorf("no %s %q on the papers", kind, s)
		}
	}
	for _, x := range p.House.Points {
		want("point", string(x.ID))
		want("title of a point", x.Title)
	}
	for _, x := range p.House.Modules {
		want("module", string(x.ID))
		want("address", x.Address)
	}
	for _, x := range p.House.Circuits {
		want("circuit", string(x.ID))
	}
	for _, x := range p.House.Wishes {
		want("wish", x.Text)
	}
	for _, x := range p.Keys {
		want("caption", x.Caption)
	}
	for _, x := range p.Rules {
		want("rule", x.Text)
	}
	for _, x := range p.Tests {
		want("test", x.Name)
	}
	for _, x := range p.Findings {
		want("finding", x.Text)
		want("source", x.Source)
	}
	for id, name := range Designations(p.House) {
		want("designation of "+string(id), name)
	}
	for _, s := range append(slices.Clone(cautions), p.Prepared, p.Notes[0], "FAILED: nothing moved within 1 s", "not tried: the router cannot be broken here", "These keys work all the same:") {
		want("sentence", s)
	}
}

func TestContentsLeadToTheChapters(t *testing.T) {
	list := pages(t)
	footer := fmt.Sprintf("page %%d of %d\n", len(list))
	for i, page := range list {
		if !strings.Contains(page, fmt.Sprintf(footer, i+1)) && !strings.HasSuffix(page, strings.TrimSpace(fmt.Sprintf(footer, i+1))) {
			t.Errorf("page %d does not say %q", i+1, fmt.Sprintf(footer, i+1))
		}
	}
	b := newBuilder(example())
	found := 0
	for _, c := range b.chapters() {
		m := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(c.title) + `\s+(\d+)$`).FindStringSubmatch(list[0])
		if m == nil {
			t.Errorf("the contents do not list %q", c.title)
			continue
		}
		n, _ := strconv.Atoi(m[1])
		if n < 2 || n > len(list) || !strings.Contains(list[n-1], c.title) || strings.Contains(list[n-2], c.title) && n > 2 {
			t.Errorf("%q does not begin on page %d", c.title, n)
		}
		found++
	}
	if found < 14 {
		t.Errorf("only %d chapters in the contents", found)
	}
}

func TestNoLetterLeavesItsPage(t *testing.T) {
	first, err := examplePDF()
	if err != nil {
		t.Fatal(err)
	}
	if list := strays(words(t, first)); len(list) > 0 {
		t.Errorf("example: %d words stray, the first: %s", len(list), list[0])
	}
	for name, p := range map[string]Pack{"nothing": bare(0), "one point": bare(1), "300 points": bare(300), "long names": long()} {
		b, err := PDF(p)
		if err != nil {
			t.Fatal(err)
		}
		if list := strays(words(t, b)); len(list) > 0 {
			t.Errorf("%s: %d words stray, the first: %s", name, len(list), strings.Join(list[:min(len(list), 3)], "; "))
		}
	}
}

// long is a house whose names are as long as names get, in several scripts.
func long() Pack {
	p := bare(40)
	title := "Großzügiger Wohn- und Eßbereich mit Blick auf die Rosenlaube, Łazienka żółta, kuchyně vlevo, Кухня и столовая, Donaudampfschifffahrtsgesellschaftskapitänskajüte "
	p.House.Title, p.Prepared = strings.Repeat(title, 3), title
	p.House.Site.Place = title
	for i := range p.House.Rooms {
		p.House.Rooms[i].Title = title
	}
	for i := range p.House.Points {
		p.House.Points[i].Title = title
		if p.House.Points[i].Kind == house.Keypad {
			p.Keys = append(p.Keys, KeyLegend{Point: p.House.Points[i].ID, Key: 1, Caption: title, Lines: []string{"press: " + title, "hold: " + strings.Repeat(title, 40)}})
		}
	}
	for i := range p.House.Boards {
		p.House.Boards[i].Title = title
	}
	for i := range p.House.Storeys {
		p.House.Storeys[i].Title = title
	}
	p.Tests = []Test{{Name: title, Steps: []string{strings.Repeat(title, 60)}}}
	p.Rules = []Rule{{Name: strings.Repeat("rule-", 20), Text: strings.Repeat(title, 5), Controller: strings.Repeat("x", 300)}}
	return p
}

// TestWidthsOnPaper compares the widths that lines are broken by with those that pdftotext reads from the papers.
func TestWidthsOnPaper(t *testing.T) {
	b, err := examplePDF()
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, w := range words(t, b) {
		if w.page != 2 || w.y0 < 60 || len(w.text) < 4 || strings.ContainsAny(w.text, "&;\u00a0") {
			continue
		}
		got, best := w.x1-w.x0, math.Inf(1)
		for _, size := range []float64{bodySize, cellSize, subSize, 3.6, 5.6, 2.3, 2.5} {
			for _, bold := range []bool{false, true} {
				best = math.Min(best, math.Abs(scene.TextWidth(w.text, size, bold)*pointsPerMM-got))
			}
		}
		if best > .15 {
			t.Errorf("%q is %.2f pt wide on paper, %.2f off what was reckoned", w.text, got, best)
		}
		compared++
	}
	if compared < 50 {
		t.Errorf("only %d words compared", compared)
	}
}

// TestTheTypeHasTheLettersOfTheTemplates reads every text that this package and the drawings may print out of their
// source.
func TestTheTypeHasTheLettersOfTheTemplates(t *testing.T) {
	seen := 0
	for _, folder := range []string{".", "plan", "diagram"} {
		files, _ := filepath.Glob(filepath.Join(folder, "*.go"))
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if l, ok := n.(*ast.BasicLit); ok && (l.Kind == token.STRING || l.Kind == token.CHAR) {
					seen++
					if s, err := strconv.Unquote(l.Value); err == nil && len(scene.Missing(s)) > 0 {
						t.Errorf("%s: no letter for %q in %s", name, string(scene.Missing(s)), l.Value)
					}
				}
				return true
			})
		}
	}
	if seen < 300 {
		t.Errorf("only %d texts looked at", seen)
	}
}

func TestNamesInTheUsualLanguagesPrintAsTheyAre(t *testing.T) {
	p := bare(8)
	names := []string{"Zażółć gęślą jaźń", "Größe für Übungsräume", "Příliš žluťoučký kůň", "Съешь ещё булок", "Їжак ґанок", "Bjørnøya æå"}
	for i, s := range names {
		p.House.Points[i].Title = s
	}
	text := textOf(t, p)
	for _, s := range names {
		if !strings.Contains(text, s) {
			t.Errorf("%q is not on the papers", s)
		}
	}
	if strings.Contains(text, string(scene.Lost)) || strings.Contains(text, "cannot print") {
		t.Error("letters were lost")
	}
}

func textOf(t *testing.T, p Pack) string {
	t.Helper()
	need(t, "pdftotext")
	b, err := PDF(p)
	if err != nil {
		t.Fatal(err)
	}
	list, err := pdfText(b, "-raw")
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(list, "\n")
}

func TestWhatTheTypeLacksIsTold(t *testing.T) {
	p := bare(8)
	p.House.Rooms[0].Title = "居間 (living room)"
	p.House.Points[0].Title = "Lamp 💡"
	list := strings.SplitN(textOf(t, p), "Owner's guide\nHow", 2)
	for _, code := range []string{"U+5C45", "U+9593", "U+1F4A1", "have them right"} {
		if !strings.Contains(squeezed(list[0]), squeezed(code)) {
			t.Errorf("the first page does not tell %s:\n%s", code, list[0])
		}
	}
	if !strings.Contains(list[1], string([]rune{scene.Lost, scene.Lost})+" (living room)") {
		t.Error("the letters that are lacking leave no mark")
	}
}

func TestPapersAreTheSameEachTime(t *testing.T) {
	first, err := examplePDF()
	if err != nil {
		t.Fatal(err)
	}
	small, err := PDF(bare(60))
	if err != nil {
		t.Fatal(err)
	}
	for name, a := range map[string][]byte{"example": first, "generated": small} {
		p := example()
		if name != "example" {
			p = bare(60) // made anew too
		}
		b, _ := PDF(p)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two papers of one pack differ", name)
		}
	}
}

// TestMetadata reads the papers with pdfinfo and pdffonts.
func TestMetadata(t *testing.T) {
	need(t, "pdfinfo")
	b, err := examplePDF()
	if err != nil {
		t.Fatal(err)
	}
	file := write(t, "papers.pdf", b)
	info, err := exec.Command("pdfinfo", "-isodates", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`Title:\s+House at the weir`, `Author:\s+A\. Fitter`, `Subject:\s+Handover papers of revision 12`, `CreationDate:\s+2026-05-17T14:30:00`, `ModDate:\s+2026-05-17T14:30:00`,
		fmt.Sprintf(`Pages:\s+%d`, len(pages(t))), `Page size:\s+595\.28 x 841\.89 pts \(A4\)`, `Encrypted:\s+no`} {
		if !regexp.MustCompile(want).Match(info) {
			t.Errorf("no %s in\n%s", want, info)
		}
	}
	fonts, err := exec.Command("pdffonts", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:]
	for _, l := range lines {
		if !regexp.MustCompile(`TrueType\s+Identity-H\s+yes\s`).MatchString(l) {
			t.Errorf("a font is not embedded: %s", l)
		}
	}
	if len(lines) != 2 {
		t.Errorf("%d fonts, want two: %s", len(lines), fonts)
	}
}

// TestLabelsOnPaperAreReadBack cuts every label out of the printed page and has it read by zbarimg.
func TestLabelsOnPaperAreReadBack(t *testing.T) {
	need(t, "zbarimg")
	need(t, "pdftoppm")
	p := example()
	b, err := examplePDF()
	if err != nil {
		t.Fatal(err)
	}
	file := write(t, "papers.pdf", b)
	var want, got []string
	for _, m := range p.House.Modules {
		want = append(want, string(m.ID))
	}
	for i, page := range pages(t) {
		if strings.HasPrefix(page, "House at the weir Module labels\n") {
			got = append(got, readLabels(t, file, i+1)...)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("read %q, want %q", got, want)
	}
}

// readLabels cuts a page of labels up as its dashed lines do, column by column, row by row, and reads each piece.
func readLabels(t *testing.T, file string, page int) []string {
	t.Helper()
	const dots = 10 // a mm
	folder := t.TempDir()
	n := strconv.Itoa(page)
	out, err := exec.Command("pdftoppm", "-r", "254", "-gray", "-f", n, "-l", n, "-singlefile", file, filepath.Join(folder, "page")).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	picture, err := os.ReadFile(filepath.Join(folder, "page.pgm"))
	if err != nil {
		t.Fatal(err)
	}
	var wide, high int
	if _, err := fmt.Sscanf(string(picture[:20]), "P5\n%d %d\n255\n", &wide, &high); err != nil {
		t.Fatal(err)
	}
	pixels := picture[len(picture)-wide*high:]
	first := topOfLabels(pixels, wide)
	args := []string{"--raw", "-q"}
	for y := first; y+diagram.LabelHigh*dots < high-15*dots; y += diagram.LabelHigh * dots {
		for column := range 3 {
			x, w, h := int(left*dots+float64(column)*diagram.LabelWide*dots), int(diagram.LabelWide*dots), int(diagram.LabelHigh*dots)
			cut := []byte(fmt.Sprintf("P5\n%d %d\n255\n", w, h))
			for row := range h {
				cut = append(cut, pixels[(y+row)*wide+x:(y+row)*wide+x+w]...)
			}
			name := filepath.Join(folder, fmt.Sprintf("%d-%d.pgm", y, column))
			if err := os.WriteFile(name, cut, 0o600); err != nil {
				t.Fatal(err)
			}
			args = append(args, name)
		}
	}
	read, _ := exec.Command("zbarimg", args...).Output() // its exit code tells of the empty pieces behind the last label
	return strings.Fields(string(read))
}

// topOfLabels is the row of the first dashed line below the head of the page.
func topOfLabels(pixels []byte, wide int) int {
	for y := 180; y < 600; y++ {
		dark := 0
		for x := 200; x < wide-200; x++ {
			if pixels[y*wide+x] < 200 {
				dark++
			}
		}
		if dark > wide/3 {
			return y
		}
	}
	return 0
}

func TestHeadRowsStandOnEveryPageOfATable(t *testing.T) {
	n := 0
	for _, page := range pages(t) {
		if !strings.HasPrefix(page, "House at the weir Points schedule\n") {
			continue
		}
		n++
		if !strings.Contains(page, "\nPoint What it is Load Circuit Lands on\n") {
			t.Errorf("a page of the points schedule has no head row:\n%.300s", page)
		}
	}
	if n < 3 {
		t.Errorf("%d pages of points", n)
	}
}

func TestPapersOfNothingSaySo(t *testing.T) {
	text := textOf(t, bare(0))
	for _, want := range []string{"Left out, since the house has nothing of it: key cards, the client's wishes, points schedule", "No test has been made yet.", "The checks found nothing.", "0 rooms on 0 storeys"} {
		if !strings.Contains(squeezed(text), squeezed(want)) {
			t.Errorf("no %q", want)
		}
	}
}

func TestChaptersOfOneTitleAreToldApart(t *testing.T) {
	p := bare(90)
	for i := range p.House.Storeys {
		p.House.Storeys[i].Title = "Storey"
	}
	p.House.Rooms[0].Storey = p.House.Storeys[0].ID
	p.House.Storeys = append(p.House.Storeys, house.Storey{ID: "top", Title: "Storey"})
	p.House.Rooms[len(p.House.Rooms)-1].Storey = "top"
	var titles []string
	for _, c := range newBuilder(p).chapters() {
		if slices.Contains(titles, c.title) {
			t.Errorf("two chapters %q", c.title)
		}
		titles = append(titles, c.title)
	}
	if !slices.Contains(titles, "Plan: Storey (2)") {
		t.Errorf("%q", titles)
	}
}

func BenchmarkPDF(b *testing.B) {
	for name, p := range map[string]Pack{"example": example(), "300 points": bare(300)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := PDF(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
