// Package behaviour is the language in which an installer writes what every key, sensor and clock does.
//
// Text flows through Parse (package syntax has the grammar, the tree and the formatter) into Compile, which resolves
// the names against one house, checks that every effect suits what it acts on, places each rule on the controller where
// its cause happens, and gives one control.Program per controller. A rule whose causes happen on several controllers is
// placed on each of them for its own causes. What it reads from elsewhere becomes a mirror; what it moves elsewhere
// becomes a command with a number and an expiry.
//
// Beside the programs Compile gives what people want to know of them: which rule lives where and what it needs of the
// network (Listing), what a key does in plain words (KeyLegend), a cause-and-effect matrix (Matrix), and findings that
// need no proof (Findings).
//
// Package accept, below this one, holds acceptance tests and makes them from the rules.
//
// Sources: placement, snapshot and command rules are those of the design page of this project; the cause-and-effect
// matrix is the trade's document (common practice, IEC 62881 gives it a form).
package behaviour
