package dnssd

import (
	"encoding/json"
	"fmt"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// TestIndependentReaderFindsUs lets another implementation of multicast DNS (the npm package multicast-dns) browse for
// three announced services and print what it read.
func TestIndependentReaderFindsUs(t *testing.T) {
	folder := filepath.Join("..", "..", "..", "tools", "witness-dns")
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed: make test installs what this check needs")
	}
	if _, err := os.Stat(filepath.Join(folder, "node_modules", "multicast-dns")); err != nil {
		t.Skip("the independent reader is not installed: make test installs it")
	}
	type seen struct {
		Name, Host, Address string
		Port                uint16
		Life                int
		Flush               bool
		Text                []string
	}
	var want []seen
	for i, name := range []string{"hall.box", "Küche, links", "a (2)"} {
		s := hall
		s.Type, s.Instance, s.Host = "_ww-witness._tcp", name, fmt.Sprintf("witness-%d", i)
		s.Address, s.Port = netip.AddrFrom4([4]byte{127, 0, 0, byte(50 + i)}), uint16(8000+i)
		s.Text = []Pair{{"id", name}, {"path", `a\b"c=d.e`}}
		r := announce(t, s, true)
		defer r.Close()
		want = append(want, seen{name + "._ww-witness._tcp.local", s.Host + ".local", s.Address.String(), s.Port, hostLife, true,
			[]string{"id=" + name, `path=a\b"c=d.e`}})
	}
	cmd := exec.Command(node, "browse.js", "_ww-witness._tcp.local", "127.0.0.1", "3")
	cmd.Dir = folder
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	got := map[string]seen{}
	for line := range strings.Lines(string(out)) {
		var s seen
		if err := json.Unmarshal([]byte(line), &s); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		got[s.Name] = s
	}
	for _, w := range want {
		if !reflect.DeepEqual(got[w.Name], w) {
			t.Errorf("read  %+v\nwant %+v", got[w.Name], w)
		}
	}
}
