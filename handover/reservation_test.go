package handover

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"wirewright/house"
)

func addressed() *house.House {
	return &house.House{Title: "House\nof two lines", Network: house.Network{Subnet: "192.168.10.0/24", Router: "192.168.10.1", PoolFirst: "192.168.10.100", PoolLast: "192.168.10.199"},
		Modules: []house.Module{
			{ID: "hall.m1", Address: "192.168.10.21", Host: "hall-m1", Hardware: "02:00:00:00:00:11"},
			{ID: "board.k1", Address: "3"},
			{ID: "bed.m1", Address: "192.168.10.22", Host: "bed-m1"},
		}}
}

func TestReservations(t *testing.T) {
	want := `# Addresses of House of two lines. Hardware addresses are recorded when a module is enrolled.
domain=home.arpa
dhcp-range=192.168.10.100,192.168.10.199,255.255.255.0,12h
dhcp-option=option:router,192.168.10.1
dhcp-host=02:00:00:00:00:11,192.168.10.21,hall-m1,infinite
# not enrolled yet: bed.m1 192.168.10.22 bed-m1
`
	if got := string(Reservations(addressed())); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if Reservations(&house.House{}) != nil {
		t.Error("a house without a subnet has reservations")
	}
	for subnet, want := range map[string]string{"10.0.0.0/8": "255.0.0.0", "192.168.0.0/23": "255.255.254.0", "0.0.0.0/0": "0.0.0.0"} {
		h := addressed()
		h.Network.Subnet = subnet
		if !strings.Contains(string(Reservations(h)), ","+want+",") {
			t.Errorf("%s has no mask %s", subnet, want)
		}
	}
}

// The address server's own checker reads the file (dnsmasq --test), and refuses it when an address stands there twice.
func TestReservationsAreReadByTheAddressServer(t *testing.T) {
	dnsmasq, err := exec.LookPath("dnsmasq")
	if err != nil {
		t.Skip("dnsmasq is not installed")
	}
	check := func(text []byte) error {
		file := filepath.Join(t.TempDir(), "hosts.conf")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		return exec.Command(dnsmasq, "--test", "-C", file).Run()
	}
	h := addressed()
	if err := check(Reservations(h)); err != nil {
		t.Errorf("refused: %v", err)
	}
	h.Modules = append(h.Modules, house.Module{ID: "x", Address: "192.168.10.21", Host: "x", Hardware: "02:00:00:00:00:12"})
	if check(Reservations(h)) == nil {
		t.Error("an address that stands twice was taken: the checker checks nothing")
	}
}
