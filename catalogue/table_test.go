package catalogue

import (
	"flag"
	"os"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "write the generated documents anew")

const tableFile = "../docs/catalogue.md"

func TestCatalogueDocumentIsCurrent(t *testing.T) {
	text := Table(builtinForTest(t))
	if *rewrite {
		if err := os.MkdirAll("../docs", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(tableFile, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	found, err := os.ReadFile(tableFile)
	if err != nil || string(found) != text {
		t.Errorf("docs/catalogue.md is not current (%v): go test ./catalogue -run Document -rewrite", err)
	}
}

func TestTablePrintsEveryEntryOnce(t *testing.T) {
	c := builtinForTest(t)
	text := Table(c)
	for _, id := range c.TypeIDs() {
		if n := strings.Count(text, "| `"+id+"` |"); n != 1 {
			t.Errorf("%s stands %d times in the table", id, n)
		}
	}
	if n := strings.Count(text, "\n# ") + 1; !strings.HasPrefix(text, "# ") || n != 1 {
		t.Error("the document must have one title")
	}
}
