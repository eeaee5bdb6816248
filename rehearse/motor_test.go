package rehearse

import (
	"testing"

	"pgregory.net/rapid"

	"wirewright/control"
)

// The reference case of a shutter with slats, computed by hand from the two-phase model: travel down 50 s, up 54 s, slats
// 1.6 s. From open with slats up: down 26.6 s is half way (the slats take 1.6 s first); up 0.8 s turns the slats half; and
// so on.
func TestShutterReference(t *testing.T) {
	a := actuator{up: 54_000, down: 50_000, turn: 1600}
	now := int64(0)
	for _, c := range []struct {
		way             int32
		ms              int64
		position, slats int32
	}{
		{1, 26_600, 500, 1000}, {-1, 800, 500, 500}, {-1, 3500, 450, 0}, {1, 1600, 450, 1000}, {1, 60_000, 1000, 1000},
		{-1, 10_000, 844, 0}, {-1, 100_000, 0, 0},
	} {
		a.way, a.since = c.way, now
		now += c.ms
		a.travel(now)
		if thousandths(a.position) != c.position || thousandths(a.slats) != c.slats {
			t.Errorf("after %d ms %+d: %d %d, want %d %d", c.ms, c.way, thousandths(a.position), thousandths(a.slats), c.position, c.slats)
		}
	}
}

// Travelling in many small steps is travelling in one, to a millionth; and nothing leaves the range.
func TestTravelAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		motor := func() actuator {
			return actuator{up: 54_000, down: 50_000, turn: rapid.SampledFrom([]int64{0, 1600}).Draw(t, "turn")}
		}
		one := motor()
		one.position, one.slats = rapid.Int64Range(0, full).Draw(t, "position"), rapid.Int64Range(0, full).Draw(t, "slats")
		one.way = rapid.SampledFrom([]int32{-1, 1}).Draw(t, "way")
		many := one
		now := int64(0)
		for _, ms := range rapid.SliceOfN(rapid.Int64Range(1, 4000), 1, 20).Draw(t, "steps") {
			now += ms
			many.travel(now)
		}
		one.travel(now)
		for _, d := range []int64{one.position - many.position, one.slats - many.slats} {
			// A step that ends the slats loses less than 1 ms of travel, 1/50000 of the whole.
			if d > full/25_000 || d < -full/25_000 {
				t.Fatalf("one step %d %d, many %d %d", one.position, one.slats, many.position, many.slats)
			}
		}
		if many.position < 0 || many.position > full || many.slats < 0 || many.slats > full {
			t.Fatalf("%+v", many)
		}
	})
}

// With motors that lag and differ from their data the true position wanders away from the estimate, and a run to an end
// brings both together again.
func TestTruePositionAndEstimate(t *testing.T) {
	r := start(t, Options{Seed: 3, Physics: Physics{Spread: 30, Lag: 150}})
	apart := int32(0)
	for range 4 {
		r.must(t, r.Key("hall.keys", 3, true))
		r.sleep(t, 9000)
		r.must(t, r.Key("hall.keys", 3, false))
		r.must(t, r.Break("module living.box")) // the only way to stop half way in the sample
		r.must(t, r.Mend("module living.box"))
		r.sleep(t, 6000)
	}
	estimate, ok := r.Value("living.shutter")
	position, _, ok2 := r.Position("living.shutter")
	if !ok || !ok2 || position == 0 {
		t.Fatalf("estimate %d %v, true %d %v", estimate, ok, position, ok2)
	}
	if apart = position - estimate; apart == 0 {
		t.Errorf("true %d is exactly the estimate: nothing lags", position)
	}
	r.tap(t, "hall.keys", 4)
	r.sleep(t, 90_000)
	estimate, _ = r.Value("living.shutter")
	if position, slats, _ := r.Position("living.shutter"); position != 0 || slats != 0 || estimate != 0 {
		t.Errorf("after a run to the end: true %d %d, estimate %d", position, slats, estimate)
	}
}

// A motor that is reversed without its pause is a fault of whoever drives it: here nobody but the test does.
func TestReversalIsWatched(t *testing.T) {
	r := start(t, Options{})
	p := r.owner["living.shutter"]
	r.driveMotor(p, 1, -1, "")
	r.driveMotor(p, -1, -1, "")
	r.driveMotor(p, 0, -1, "")
	r.sleep(t, 100)
	r.driveMotor(p, 1, -1, "")
	if list := r.Faults(); len(list) != 2 || list[0].Text != "living.shutter: reversed without a stop" ||
		list[1].Text != "living.shutter: reversed too soon after the stop" {
		t.Errorf("%+v", list)
	}
	r.driveMotor(p, 0, -1, "")
	r.sleep(t, control.MotorPauseLeast)
	r.driveMotor(p, -1, -1, "")
	if n := len(r.Faults()); n != 2 {
		t.Errorf("after the pause it is no fault, yet there are %d", n)
	}
}
