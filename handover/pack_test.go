package handover

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/allot"
	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/examples"
	"wirewright/house"
	"wirewright/house/generated"
)

var date = time.Date(2026, 5, 17, 14, 30, 0, 0, time.UTC)

// example is the pack of the example house, allotted and compiled, with invented results: every seventh test failed in
// rehearsal, every eleventh could not be tried on site, the others passed.
var example = sync.OnceValue(func() Pack {
	cat, err := catalogue.Builtin()
	if err != nil {
		panic(err)
	}
	h, err := house.Read("house.yaml", examples.WeirHouse)
	if err != nil {
		panic(err)
	}
	h.Behaviour = examples.WeirBehaviour
	r, err := allot.Allot(h, cat, allot.Options{})
	if err != nil {
		panic(err)
	}
	c, problems := behaviour.Compile(r.House, cat)
	if len(problems) > 0 {
		panic(problems.Err())
	}
	p := Pack{House: r.House, Catalogue: cat, Revision: "12", Date: date, Digest: strings.Repeat("0123456789abcdef", 4), Prepared: "A. Fitter",
		Findings: check.Check(r.House, cat), Notes: []string{"every wall box is deep enough"}}
	for _, r := range c.Rules {
		network := ""
		if len(r.Crosses) > 0 {
			network = "router and broker"
		}
		p.Rules = append(p.Rules, Rule{Name: r.Name, Text: r.Text, Controller: r.Controller, Network: network, Needs: r.Crosses, Wishes: r.Wishes})
	}
	for _, point := range h.Points {
		p.Keys = append(p.Keys, legends(c, point)...)
	}
	for i, t := range accept.Generate(c) {
		steps := make([]string, len(t.Steps))
		for i := range t.Steps {
			steps[i] = t.Steps[i].String()
		}
		p.Tests = append(p.Tests, Test{Name: t.Name, Rule: t.Rule, Wishes: t.Wishes, Steps: steps, Results: []TestResult{
			{Where: Rehearsal, When: date, Tried: true, Passed: i%7 != 6, Detail: map[bool]string{true: "nothing moved within 1 s"}[i%7 == 6]},
			{Where: Site, When: date, Tried: i%11 != 10, Passed: i%11 != 10, Detail: map[bool]string{true: "the router cannot be broken here"}[i%11 == 10]}}})
	}
	return p
})

func legends(c *behaviour.Compiled, p house.Point) []KeyLegend {
	var list []KeyLegend
	for i, caption := range p.Keys {
		list = append(list, KeyLegend{Point: p.ID, Key: i + 1, Caption: caption})
	}
	for _, l := range c.KeyLegend(p.ID) {
		if l.Key <= len(list) {
			k := &list[l.Key-1]
			k.Lines, k.Rules = append(k.Lines, l.Gesture+": "+l.Text), append(k.Rules, l.Rule)
		}
	}
	return list
}

// bare is the pack of a house of so many points, and of nothing else.
func bare(points int) Pack {
	cat, err := catalogue.Builtin()
	if err != nil {
		panic(err)
	}
	h := &house.House{Format: house.FormatName}
	if points > 0 {
		h = generated.House(points, 1)
	}
	return Pack{House: h, Catalogue: cat, Revision: "1", Date: date, Findings: check.Check(h, cat)}
}

// examplePDF is the example's papers.
var examplePDF = sync.OnceValues(func() ([]byte, error) { return PDF(example()) })

// exampleText is the text of the example's papers, page by page.
var exampleText = sync.OnceValues(func() ([]string, error) {
	b, err := examplePDF()
	if err != nil {
		return nil, err
	}
	return pdfText(b, "-raw")
})

// pages is exampleText, or a skipped test where no reader is there.
func pages(t *testing.T) []string {
	t.Helper()
	need(t, "pdftotext")
	list, err := exampleText()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// need skips a test where an outside program is missing.
func need(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed", program)
	}
}

// pdfText reads papers with pdftotext, page by page.
func pdfText(b []byte, options ...string) ([]string, error) {
	cmd := exec.Command("pdftotext", append(options, "-", "-")...)
	cmd.Stdin = bytes.NewReader(b)
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f"), nil
}

// squeezed is a text without blanks, so that it does not matter where lines are broken.
func squeezed(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' || r == '\u00a0' || r == '\f' }), "")
}

// word is one word of the papers with its box in points from the upper left corner, and the size of its page.
type word struct {
	page           int
	text           string
	x0, y0, x1, y1 float64
	wide, high     float64
}

var (
	pageBox = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	wordBox = regexp.MustCompile(`<word xMin="(-?[\d.]+)" yMin="(-?[\d.]+)" xMax="(-?[\d.]+)" yMax="(-?[\d.]+)">(.*)</word>`)
)

// words lists every word of papers with its place.
func words(t *testing.T, b []byte) []word {
	t.Helper()
	need(t, "pdftotext")
	out, err := pdfText(b, "-bbox")
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	var list []word
	w := word{}
	for _, line := range strings.Split(strings.Join(out, ""), "\n") {
		if m := pageBox.FindStringSubmatch(line); m != nil {
			w.page, w.wide, w.high = w.page+1, number(m[1]), number(m[2])
		}
		if m := wordBox.FindStringSubmatch(line); m != nil {
			w.x0, w.y0, w.x1, w.y1, w.text = number(m[1]), number(m[2]), number(m[3]), number(m[4]), m[5]
			list = append(list, w)
		}
	}
	return list
}

// write puts bytes into a file of a name of its own.
func write(t *testing.T, name string, b []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// strays lists the words that stand outside the margins of their pages.
func strays(list []word) []string {
	const mm = 72 / 25.4
	var out []string
	for _, w := range list {
		if w.x0 < left*mm-1 || w.x1 > w.wide-right*mm+1 || w.y0 < 7*mm || w.y1 > w.high-5*mm {
			out = append(out, fmt.Sprintf("page %d: %q at %.0f,%.0f to %.0f,%.0f of %.0f × %.0f", w.page, w.text, w.x0, w.y0, w.x1, w.y1, w.wide, w.high))
		}
	}
	return out
}
