// Package almanac turns the calendar entries of compiled programs into dated events.
//
// In: a place, a zone of the IANA time zone database and control.Schedule entries. Out: what every window stands at at
// an instant (State), and the next instant at which something happens (Next, or a Walk for many in a row). A moment is a
// pulse, Change.Value 1; a window has an edge to 1 and an edge to 0, and windows that touch or overlap are one. Whoever
// runs a calendar asks for what comes after an instant of a clock that never runs backward, so that a step of the wall
// clock cannot fire an entry twice.
//
// What a wish means where clocks and the sky are awkward, decided once here:
//
//   - A time that does not exist (clocks go forward) happens once, at the jump. A time that exists twice (clocks go back)
//     happens at the first only. Offsets decide, never the daylight-saving flag, which some zones set in winter. A day
//     begins at the first instant of its date, which need not be 00:00.
//   - A sun event belongs to the date whose solar noon it surrounds; the dusk of a summer date may come after midnight.
//     Weekdays and date ranges are those of that date, for windows of the date on which they open.
//   - On a polar day the sun does not set, on a polar night it does not rise: such a moment never happens and such a
//     window never opens. A sunset before a polar night counts as having been and holds from noon to noon, so that a
//     window from sunset to sunrise is set all day; likewise from sunrise to sunset on a polar day. NotAfter puts a bound
//     on what never comes, NotBefore on what has already been: "at sunrise, not after 09:00" happens at 09:00 all polar
//     night. The same holds for any elevation that the sun does not cross on a date.
//   - A window runs over midnight when its end cannot be meant for the same date: see overMidnight.
//   - Every counts minutes that pass, from the first instant of each date.
//
// Sources: zone rules from the IANA time zone database, embedded for machines that have none; the sun from calc/sun.
package almanac
