package workbench

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

//go:embed static template
var embedded embed.FS

// staticPath is where style, script and type are served. The digest of all of them stands in their addresses, so that a
// browser may keep them and still never shows a page in another version's style.
const staticPath = "/static/"

// mediaTypes are those of the files that are served; a file of any other sort is not.
var mediaTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8", ".svg": "image/svg+xml"}

// files are the files of the style, read once.
type files struct {
	edition string
	byName  map[string][]byte
}

func readFiles() (*files, error) {
	f := &files{byName: map[string][]byte{}}
	sum := sha256.New()
	err := fs.WalkDir(embedded, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := embedded.ReadFile(name)
		short := strings.TrimPrefix(name, "static/")
		f.byName[short] = b
		sum.Write([]byte(short))
		sum.Write(b)
		return err
	})
	f.edition = hex.EncodeToString(sum.Sum(nil)[:6])
	return f, err
}

// address is where a file is served.
func (f *files) address(name string) string { return staticPath + f.edition + "/" + name }

// ServeHTTP answers with one file; one that is asked for by another edition is not there.
func (f *files) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name, ours := strings.CutPrefix(r.URL.Path, staticPath+f.edition+"/")
	b, ok := f.byName[name]
	media := mediaTypes[path.Ext(name)]
	if !ours || !ok || media == "" {
		http.Error(w, "there is no such file", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", media)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
}
