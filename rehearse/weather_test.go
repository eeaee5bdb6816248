package rehearse

import (
	"strings"
	"testing"
	"time"

	"wirewright/catalogue"
	"wirewright/control"
)

// In January the thermostats of a house keep its rooms near their set point, by heating more than half of the time.
func TestRoomsAreKeptWarm(t *testing.T) {
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	r := compiled(t, large(4), cat, Options{Start: time.Date(2026, 1, 12, 0, 0, 0, 0, time.UTC)})
	if _, err := r.Live(Life{Seed: 1, Days: 3, Presses: 1}); err != nil {
		t.Fatal(err)
	}
	if len(r.live.rooms) != 4 {
		t.Fatalf("%d rooms", len(r.live.rooms))
	}
	for _, rm := range r.live.rooms {
		if rm.air < 18 || rm.air > 22 {
			t.Errorf("%s is at %.1f °C", rm.id, rm.air)
		}
	}
	story := r.Story(0, r.Elapsed())
	for _, name := range []string{"r0.valve on (", "r1.valve on (", "r1.valve off (", "r0.warmth reads 20.5", "r0.warmth reads 19.9"} {
		if !strings.Contains(story, name) {
			t.Errorf("the story has no %q", name)
		}
	}
}

// Outdoors it is dark at night and light at noon; a shutter that is down darkens its room; a lamp lights it.
func TestLight(t *testing.T) {
	r := start(t, Options{})
	r.begin(Life{Seed: 1, Days: 1, Presses: 1})
	light := func(hour int) float64 {
		r.must(t, r.Clock(time.Date(2026, 6, 21, hour, 30, 0, 0, r.calendar.Zone())))
		return r.daylight()
	}
	if night, dawn, morning, noon := light(1), light(4), light(8), light(12); night != 0 || dawn <= 0 || dawn > 400 || morning < 5000 || noon <= morning || noon > 100_400 {
		t.Errorf("night %.0f, dawn %.0f, morning %.0f, noon %.0f lx", night, dawn, morning, noon)
	}
	var living *liveRoom
	for _, rm := range r.live.rooms {
		if rm.id == "living" {
			living = rm
		}
	}
	if living == nil || r.openness(living) != 1 || r.lit(living) != 0 {
		t.Fatalf("living room: %+v", living)
	}
	r.must(t, r.Command("living.shutter", 1000))
	r.must(t, r.Command("living.lamp", 1))
	r.sleep(t, 70_000)
	if r.openness(living) != 0 || r.lit(living) != 1 {
		t.Errorf("open %.2f, lamps %d", r.openness(living), r.lit(living))
	}
}

// What a test has set the weather leaves alone; what nobody set follows it.
func TestPinnedSensors(t *testing.T) {
	h, cat := mill(t)
	r := compiled(t, h, cat, Options{})
	r.must(t, r.Input("garden.wind", 77))
	r.begin(Life{Seed: 4, Days: 1, Presses: 1})
	r.sleep(t, 12*3600*1000)
	if v, _ := r.Value("garden.wind"); v != 77 {
		t.Errorf("the wind was set to 7.7 m/s and is %d", v)
	}
	if v, _ := r.Value("living.temperature"); v == atRest(control.QuantityTemperature) {
		t.Error("the room has not changed in half a day")
	}
}
