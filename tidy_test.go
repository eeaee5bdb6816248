// Package tidy keeps by machine what can be kept by machine about this tree: who may import whom, what is documented,
// what is banned where, and how long things may grow. Each message says what to do instead.
package tidy

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// mayImport says, for each part, which parts of ours it may import. The order is that of the pipeline: a house flows
// from the top to the bottom. A part may always import itself and internal/.
var mayImport = []struct {
	part  string
	parts []string
}{
	{"unit", nil},
	{"calc", []string{"unit"}},
	{"control", nil},
	{"house", []string{"unit"}},
	{"catalogue", []string{"unit", "house"}},
	{"intake", []string{"unit", "house"}},
	{"check", []string{"unit", "calc", "house", "catalogue"}},
	{"allot", []string{"unit", "calc", "house", "catalogue", "check"}},
	{"behaviour", []string{"unit", "calc", "house", "catalogue", "control"}},
	{"prove", []string{"control", "behaviour", "house", "unit", "catalogue"}},
	{"rehearse", []string{"unit", "calc", "house", "catalogue", "control", "behaviour"}},
	{"site", []string{"unit", "calc", "house", "catalogue", "control", "behaviour"}},
	{"virtual", []string{"unit", "calc", "house", "catalogue", "control", "behaviour", "site"}},
	{"handover", []string{"unit", "calc", "house", "catalogue", "control", "behaviour", "check", "allot", "prove", "rehearse", "site"}},
	{"store", []string{"unit", "house"}},
	{"job", []string{"unit", "calc", "control", "house", "catalogue", "intake", "check", "allot", "behaviour", "prove",
		"rehearse", "site", "virtual", "handover", "store", "examples"}},
	{"workbench", []string{"unit", "house", "check", "job"}},
	{"cmd", []string{"job", "workbench"}},
	{"examples", nil},
	{"tools", []string{"unit", "house", "catalogue", "check", "job", "behaviour"}},
	{"internal", []string{"unit"}},
}

// banned calls by part: the expression, the parts where it must not stand, and what to do instead.
var banned = []struct {
	call    string
	parts   []string
	instead string
}{
	{"time.Now", pureParts, "take the time as a parameter"},
	{"time.Sleep", append([]string{"store", "job", "handover"}, pureParts...), "wait for the thing itself"},
	{"time.After", pureParts, "take time as events"},
	{"fmt.Print", everyPart, "write to a stream that the caller gives"},
	{"fmt.Println", everyPart, "write to a stream that the caller gives"},
	{"fmt.Printf", everyPart, "write to a stream that the caller gives"},
	{"log.Print", everyPart, "return the error or write to the journal"},
	{"log.Printf", everyPart, "return the error or write to the journal"},
	{"log.Println", everyPart, "return the error or write to the journal"},
	{"log.Fatal", everyPart, "return the error"},
	{"os.Exit", append([]string{"job", "workbench", "site", "handover", "store"}, pureParts...), "return the error"},
	{"template.HTML", everyPart, "let html/template escape"},
}

var pureParts = []string{"unit", "calc", "control", "house", "catalogue", "intake", "check", "allot", "behaviour", "prove", "rehearse"}

var everyPart = append([]string{"site", "virtual", "handover", "store", "job", "workbench"}, pureParts...)

// bannedImports by part.
var bannedImports = []struct {
	path    string
	parts   []string
	instead string
}{
	{"math/rand", everyPart, "take a seeded source as a parameter"},
	{"math/rand/v2", []string{"unit", "calc", "control", "house", "catalogue", "check", "allot", "behaviour", "prove"}, "take choices as parameters"},
	{"math", []string{"control"}, "the control core is integer (math.MinInt32 and its sisters excepted: see allowedMath)"},
	{"database/sql", []string{"job", "workbench", "cmd", "handover"}, "SQL stands in store only"},
	{"log", everyPart, "return the error or write to the journal"},
}

const (
	fileMost     = 900 // lines of a hand-written file
	functionMost = 70  // lines of a function; a share of longShare may exceed it
	longShare    = 0.03
	p90Most      = 40
)

// source is one parsed Go file of the tree.
type source struct {
	path  string // slash-separated, from the root
	part  string
	test  bool
	lines int
	text  string
	file  *ast.File
	set   *token.FileSet
}

func readTree(t *testing.T) []source {
	t.Helper()
	var list []source
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && (name == "node_modules" || name == "testdata" || name == "bin" || name == "out" || (strings.HasPrefix(name, ".") && name != ".")) {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, text, parser.ParseComments)
		if err != nil {
			return err
		}
		slash := filepath.ToSlash(path)
		part, _, _ := strings.Cut(slash, "/")
		list = append(list, source{path: slash, part: part, test: strings.HasSuffix(name, "_test.go"),
			lines: strings.Count(string(text), "\n"), text: string(text), file: file, set: set})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func (s source) place(pos token.Pos) string {
	return s.path + ":" + strconv.Itoa(s.set.Position(pos).Line)
}

func TestPartsImportOnlyPartsAbove(t *testing.T) {
	allowed := map[string][]string{}
	for _, p := range mayImport {
		allowed[p.part] = p.parts
	}
	for _, s := range readTree(t) {
		if s.test || !strings.Contains(s.path, "/") {
			continue
		}
		parts, known := allowed[s.part]
		if !known {
			t.Errorf("%s: folder %q is no part that this test knows: put it under an existing part or add it to mayImport with its order", s.path, s.part)
			continue
		}
		for _, i := range s.file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			rest, ours := strings.CutPrefix(path, "wirewright/")
			part, _, _ := strings.Cut(rest, "/")
			if ours && part != s.part && part != "internal" && !slices.Contains(parts, part) {
				t.Errorf("%s: %s must not import %s: parts import only parts above them", s.place(i.Pos()), s.part, part)
			}
		}
	}
}

func TestBannedCallsAndImports(t *testing.T) {
	for _, s := range readTree(t) {
		if s.test {
			continue
		}
		for _, i := range s.file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			for _, b := range bannedImports {
				if path == b.path && slices.Contains(b.parts, s.part) && !allowedMath(s, path) {
					t.Errorf("%s: import of %s is banned in %s: %s", s.place(i.Pos()), path, s.part, b.instead)
				}
			}
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				reportBanned(t, s, sel)
			}
			return true
		})
	}
}

func reportBanned(t *testing.T, s source, sel *ast.SelectorExpr) {
	x, ok := sel.X.(*ast.Ident)
	if !ok {
		return
	}
	for _, b := range banned {
		if x.Name+"."+sel.Sel.Name == b.call && slices.Contains(b.parts, s.part) {
			t.Errorf("%s: %s is banned in %s: %s", s.place(sel.Pos()), b.call, s.part, b.instead)
		}
	}
}

// allowedMath lets control use the integer limits of package math and nothing else of it.
func allowedMath(s source, path string) bool {
	if path != "math" || s.part != "control" {
		return false
	}
	for _, m := range regexp.MustCompile(`math\.(\w+)`).FindAllStringSubmatch(s.text, -1) {
		if !regexp.MustCompile(`^(Min|Max)U?[Ii]nt(8|16|32|64)?$`).MatchString(m[1]) {
			return false
		}
	}
	return true
}

func TestNoFloatsInControl(t *testing.T) {
	for _, s := range readTree(t) {
		if s.part != "control" || s.test {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.Ident:
				if n.Name == "float64" || n.Name == "float32" {
					t.Errorf("%s: no floating point in control: use integers in stated steps", s.place(n.Pos()))
				}
			case *ast.BasicLit:
				if n.Kind == token.FLOAT {
					t.Errorf("%s: no floating point in control: use integers in stated steps", s.place(n.Pos()))
				}
			}
			return true
		})
	}
}

func TestEverythingExportedIsDocumented(t *testing.T) {
	packageDoc := map[string]bool{}
	for _, s := range readTree(t) {
		if s.test {
			continue
		}
		dir := filepath.ToSlash(filepath.Dir(s.path))
		packageDoc[dir] = packageDoc[dir] || s.file.Doc != nil
		if s.file.Name.Name == "main" {
			continue
		}
		for _, d := range s.file.Decls {
			for _, name := range undocumented(d) {
				t.Errorf("%s: %s is exported and has no comment: say what it is, its units, its errors", s.place(d.Pos()), name)
			}
		}
	}
	for dir, ok := range packageDoc {
		if !ok {
			t.Errorf("%s: the package has no comment: say what it is for, how data flows through it, and its sources", dir)
		}
	}
}

func undocumented(d ast.Decl) []string {
	var names []string
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && d.Doc == nil && exportedReceiver(d) {
			names = append(names, d.Name.Name)
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch spec := spec.(type) {
			case *ast.TypeSpec:
				if spec.Name.IsExported() && d.Doc == nil && spec.Doc == nil && spec.Comment == nil {
					names = append(names, spec.Name.Name)
				}
			case *ast.ValueSpec:
				for _, n := range spec.Names {
					if n.IsExported() && d.Doc == nil && spec.Doc == nil && spec.Comment == nil {
						names = append(names, n.Name)
					}
				}
			}
		}
	}
	return names
}

// exportedReceiver is true for functions and for methods of exported types.
func exportedReceiver(d *ast.FuncDecl) bool {
	if d.Recv == nil || len(d.Recv.List) == 0 {
		return true
	}
	x := d.Recv.List[0].Type
	for {
		switch e := x.(type) {
		case *ast.StarExpr:
			x = e.X
		case *ast.IndexExpr:
			x = e.X
		case *ast.IndexListExpr:
			x = e.X
		case *ast.Ident:
			return e.IsExported()
		default:
			return false
		}
	}
}

func TestFilesAndFunctionsStaySmall(t *testing.T) {
	lengths := map[string][]int{}
	for _, s := range readTree(t) {
		if generated(s) {
			continue
		}
		if s.lines > fileMost {
			t.Errorf("%s: %d lines: split it by subject (at most %d)", s.path, s.lines, fileMost)
		}
		if s.test {
			continue
		}
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Body != nil {
				n := s.set.Position(f.End()).Line - s.set.Position(f.Pos()).Line + 1
				lengths[s.part] = append(lengths[s.part], n)
			}
		}
	}
	for _, part := range sortedKeys(lengths) {
		checkLengths(t, part, lengths[part])
	}
}

func checkLengths(t *testing.T, part string, lengths []int) {
	sort.Ints(lengths)
	long := 0
	for _, n := range lengths {
		if n > functionMost {
			long++
		}
	}
	if most := int(longShare * float64(len(lengths))); long > most {
		t.Errorf("%s: %d of %d functions are longer than %d lines (at most %d): leave the branching in the parent and make pure leaves", part, long, len(lengths), functionMost, most)
	}
	if p90 := lengths[(len(lengths)-1)*9/10]; p90 > p90Most {
		t.Errorf("%s: one function in ten is longer than %d lines (at most %d)", part, p90, p90Most)
	}
}

func generated(s source) bool {
	return strings.HasPrefix(s.text, "// Code generated")
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

func TestNoLeftovers(t *testing.T) {
	patterns := []struct {
		re      *regexp.Regexp
		instead string
	}{
		{regexp.MustCompile(`\bTO` + `DO\b`), "do it, or say in the package comment what is not built and why"},
		{regexp.MustCompile(`\bFIX` + `ME\b`), "mend it"},
		{regexp.MustCompile(`"/(work|tmp)/`), "no path of one machine in the tree"},
		{regexp.MustCompile(`(?i)\bissue ?#?[0-9]`), "say the reason itself"},
	}
	for _, s := range readTree(t) {
		for _, p := range patterns {
			if at := p.re.FindStringIndex(s.text); at != nil && s.path != "tidy_test.go" {
				t.Errorf("%s:%d: %q: %s", s.path, 1+strings.Count(s.text[:at[0]], "\n"), s.text[at[0]:at[1]], p.instead)
			}
		}
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == "init" {
				t.Errorf("%s: no init functions: make a constructor", s.place(f.Pos()))
			}
		}
	}
}

func TestEveryDocumentHasOneTitle(t *testing.T) {
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || (strings.HasPrefix(d.Name(), ".") && d.Name() != ".")) {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".md") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if n := titles(string(text)); n != 1 {
			t.Errorf("%s: %d titles: a document has one", path, n)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// titles counts the first-level headings outside code blocks.
func titles(text string) int {
	n, code := 0, false
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "```") {
			code = !code
		}
		if !code && strings.HasPrefix(line, "# ") {
			n++
		}
	}
	return n
}
