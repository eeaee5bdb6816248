// Package allot chooses the modules of a house and lands every point on a channel at least cost, with a proven bound.
//
// It answers three questions in turn. Which points are wired and which go by radio: a point is wired where it or its
// room has control wiring, else by radio where its box has a neutral; what can be neither is named with the reason.
// Which modules: points with a cable to the board are covered by rail modules there (component by component, a covering
// problem over classes of equal loads); all others are gathered room by room into modules for their boxes, plates and
// walls (a search over set partitions). Where everything goes: boxes, rail slots, lines with head, supply and the order of
// their taps, addresses and host names.
//
// Cost is the price of the modules plus a stated preference: each pair of a keypad and a lamp of one room that sit on
// different radio controllers costs Options.Remote, because their key then needs the network. Both searches are exact
// branch and bound; each is given a budget of nodes, and each Part reports its value, its lower bound and why it
// stopped, so that an allotment that is not proved least says by how much it might be dearer. The parts share nothing
// but the board's space, so the sums are value and bound of the whole.
//
// Modules and landings that are there already are kept; their free channels are used first, for nothing.
//
// The package decides nothing about what a channel may carry: that is check.Carries, the same test that later judges
// the result. Export writes a part as a linear programme in the LP text form, for other solvers to answer again.
//
// Sources: none published; Hall's condition for the covering bounds is textbook mathematics.
package allot
