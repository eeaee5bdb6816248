// Package rehearse runs a house before it exists: the compiled programs that would be loaded into its controllers are
// stepped by the control core in a world of simulated keys, lamps, motors, rooms, weather, cables, radio and faults.
//
// In: the house, its control.Programs, a seed, a network. Out: a Rehearsal, which is an accept.World (so that acceptance
// tests run in it as they run on site), a Trace that reads as a story, Faults with the seed that repeats them, and
// Statistics. Nothing here decides what a rule does; package control does, and this package only carries.
//
// How it works. One queue of happenings ordered by time and then by number; one virtual clock in milliseconds; all
// randomness from one seed. There are no goroutines: same inputs, same bytes. A happening at a controller is one
// control.Step; its effects become new happenings after the delay of what carries them:
//
//   - Wired line: inputs and outputs of the modules belong to the head and take up to one bus cycle. A module that loses
//     its head stops its motors by itself after Network.Watch; when contact returns, switches and levels are refreshed and
//     motors stay still.
//   - Data network: controllers speak MQTT 5 over a broker. States are retained and delivered again to whoever
//     reconnects. Commands have quality of service 1, are not retained, wait for a target that is away and expire. A peer
//     that is lost is announced after the keep-alive time and the will delay; one that restarted is announced as lost and
//     back, for it may have lost the numbers of its commands. Legs have latency with a tail, and, where wanted, loss, doubles and
//     overtaking.
//   - Physics: a lamp follows its output, and its relay falls off without power; a shutter has a true position that its
//     controller does not see (slats turn first, then the curtain moves); rooms have one time constant; light follows the
//     sun and the clouds.
//   - People: keys pressed for a while, doors, presence; see Live.
//
// Numbers in slots are those of package control. Randomness is splitmix64 (see random.go). Shutter physics after the usual
// two-phase model (common practice, no source); the sun from calc/sun, the calendar from behaviour/almanac.
package rehearse
