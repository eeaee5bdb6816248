package virtual

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
)

// Join is what a module is given in set-up mode.
type Join struct {
	Network  string `json:"network"`  // name of the Wi-Fi network
	Password string `json:"password"` // of the network
	House    string `json:"house"`    // first level of the topics
	Broker   string `json:"broker"`   // host:port
	Name     string `json:"name"`     // what the module is called in the house
	Secret   string `json:"secret"`   // the module's own, for the broker
}

// wellKnown are secrets that are refused however long they are (NIST SP 800-63B, 5.1.1.2 asks for such a list; these
// entries are invented in kind, from memory).
var wellKnown = []string{"password", "passw0rd", "12345678", "123456789", "1234567890", "qwertyuiop", "administrator", "changeme", "letmein1", "welcome1"}

// Check tells every member that cannot be taken, in words for the person at the page.
func (j *Join) Check() error {
	var list []error
	bad := func(what, why string) { list = append(list, fmt.Errorf("%s: %s", what, why)) }
	if n := len(j.Network); n == 0 || n > 32 {
		bad("network", "its name has 1 to 32 octets")
	}
	if n := len(j.Password); n < 8 || n > 63 || !printable(j.Password) {
		bad("password", "the password of the network has 8 to 63 printable ASCII characters")
	}
	if j.House == "" || strings.ContainsAny(j.House, "/+#$") || len(j.House) > 60 {
		bad("house", "a short name without / + # $ is expected")
	}
	if j.Name == "" || strings.ContainsAny(j.Name, "/+#$_ ") || len(j.Name) > 60 {
		bad("name", "a name such as hall.box is expected")
	}
	if host, port, err := net.SplitHostPort(j.Broker); err != nil || host == "" || port == "" {
		bad("broker", "an address such as 192.168.10.2:1883 is expected")
	}
	if why := weak(j.Secret, j.Network, j.Password, j.Name, j.House); why != "" {
		bad("secret", why)
	}
	return errors.Join(list...)
}

// weak tells what is wrong with a secret, empty for nothing.
func weak(secret string, known ...string) string {
	if len(secret) < 8 || len(secret) > 128 || !printable(secret) {
		return "it has 8 to 128 printable ASCII characters"
	}
	different := map[rune]bool{}
	for _, r := range secret {
		different[r] = true
	}
	if len(different) < 4 {
		return "it has too few different characters"
	}
	low := strings.ToLower(secret)
	for _, w := range wellKnown {
		if low == w {
			return "it is one that everybody knows"
		}
	}
	for _, k := range known {
		if strings.EqualFold(secret, k) {
			return "it is the same as another entry"
		}
	}
	return ""
}

// printable tells whether all characters are printable ASCII.
func printable(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < 0x20 || r > 0x7e })
}

const joinFile = "joined.json"

// readJoin reads what a module was given before; false for a module in set-up mode.
func readJoin(dir string) (Join, bool, error) {
	var j Join
	b, err := os.ReadFile(filepath.Join(dir, joinFile))
	if errors.Is(err, fs.ErrNotExist) {
		return j, false, nil
	}
	if err == nil {
		err = json.Unmarshal(b, &j)
	}
	if err != nil {
		return j, false, fmt.Errorf("set-up: %w", err)
	}
	return j, true, nil
}

// keepJoin writes down what a module was given, for its owner alone.
func keepJoin(dir string, j Join) error {
	b, err := json.Marshal(j)
	if err != nil {
		return fmt.Errorf("set-up: %w", err)
	}
	path := filepath.Join(dir, joinFile)
	if err := os.WriteFile(path+".new", b, 0o600); err != nil {
		return fmt.Errorf("set-up: %w", err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		return fmt.Errorf("set-up: %w", err)
	}
	return nil
}
