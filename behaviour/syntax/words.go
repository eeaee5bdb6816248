package syntax

import "slices"

// The words of the language by where they stand; the error messages offer them.
var (
	statementWords = []string{"mode", "group", "hours", "scene", "rule", "for", "when", "at", "every", "while"}
	ruleWords      = []string{"rule", "for", "when", "at", "every", "while"}
	verbWords      = []string{"turn", "toggle", "set", "brighten", "darken", "raise", "lower", "stop", "move", "tilt", "hold", "release", "notify"}
	eventWords     = []string{"is", "opens", "closes", "begins", "ends", "turns", "becomes", "rises", "falls"}
	pluralWords    = []string{"lamps", "shutters", "awnings", "valves", "sockets", "fans", "gates", "contactors"}
	rankWords      = []string{"", "automatic", "manual", "safety"}
	dayWords       = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}
	monthWords     = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}
	facingWords    = []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
)

// monthDays are the days of each month, February of a leap year.
var monthDays = [12]int8{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// reserved are the words that cannot name a mode, a group, hours, a scene or a rule: they would make a text ambiguous
// to read. The last line is kept for what the language does not say yet.
var reserved = []string{
	"mode", "group", "hours", "scene", "rule", "for", "when", "at", "every", "while", "if", "unless", "and", "or", "not",
	"all", "dark", "between", "network", "module", "power", "message", "is", "on", "off", "to", "of", "except", "facing",
	"turn", "toggle", "set", "brighten", "darken", "raise", "lower", "stop", "move", "tilt", "hold", "release", "notify",
	"until", "after", "over", "with", "sunrise", "sunset", "sun", "unknown", "wish", "storey",
	"always", "never", "can", "keep", "each", "room", "then", "wait", "cancel", "add", "take", "pulse", "else", "otherwise", "capture", "counter",
}

// isReserved tells whether a word cannot be a name that the text gives.
func isReserved(word string) bool {
	return slices.Contains(reserved, word) || slices.Contains(dayWords, word) || slices.Contains(monthWords, word)
}
