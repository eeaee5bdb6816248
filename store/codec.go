package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"unicode/utf8"

	"wirewright/house"
	"wirewright/internal/yamldoc"
)

// The kinds of house.Change that are not an entity of a list.
const (
	kindText    = "text"
	kindSite    = "site"
	kindNetwork = "network"
	kindOrder   = "order"
)

// encodeChanges turns an edit into rows, in the order given; what changes nothing is left out, what contradicts itself
// is refused.
func encodeChanges(changes []house.Change) ([]row, error) {
	type name struct {
		kind, id string
		moved    bool
	}
	seen := make(map[name]bool, len(changes))
	rows := make([]row, 0, len(changes))
	for _, c := range changes {
		r, err := encodeChange(c)
		if err != nil {
			return nil, err
		}
		n := name{r.kind, r.id, r.move != nil}
		if seen[n] {
			return nil, invalid("the edit changes %s %s twice; give one change with the state before and the state after", r.kind, r.id)
		}
		seen[n] = true
		if r.move != nil && r.move.was != r.move.now || r.move == nil && !bytes.Equal(r.before, r.after) {
			rows = append(rows, r)
		}
	}
	return rows, readable(rows)
}

// readable refuses what could not be read back: a stored edit that no program can open would be a lost one.
func readable(rows []row) error {
	list := make([]entityText, len(rows))
	for i, r := range rows {
		list[i] = entityText{r.kind, r.id, r.after}
	}
	if _, err := decodeEntities(list); err != nil {
		var cause *Error
		if errors.As(err, &cause) {
			return invalid("the edit cannot be stored: %s", cause.Text)
		}
		return err
	}
	return nil
}

// encodeChange turns one change into its stored text.
func encodeChange(c house.Change) (row, error) {
	r := row{kind: c.Kind, id: string(c.ID), follows: string(c.Follows)}
	if c.Kind == "" || !utf8.ValidString(c.Kind+r.id+r.follows) {
		return r, invalid("a change names no entity (kind %q, identity %q)", c.Kind, r.id)
	}
	switch c.Kind {
	case KindDocument:
		return encodeDocument(c)
	case kindOrder:
		was, okWas := c.Before.(house.Order)
		now, okNow := c.After.(house.Order)
		if !okWas || !okNow || was.List != now.List || !ordered(now.List) || now.Follows == c.ID {
			return r, invalid("the move of %s does not say where it stood and where it goes", r.id)
		}
		r.kind, r.follows, r.move = now.List, "", &move{string(was.Follows), string(now.Follows)}
		return r, nil
	}
	for _, side := range []struct {
		from any
		to   *[]byte
	}{{c.Before, &r.before}, {c.After, &r.after}} {
		if side.from == nil {
			continue
		}
		text, err := compact(yamldoc.JSON(side.from)) // as the log as text has it, so that digests agree
		if err != nil {
			return r, invalid("%s %s cannot be written as text", r.kind, r.id)
		}
		*side.to = absent(r.kind, text)
	}
	if r.before == nil && r.after == nil && alwaysThere(c.Kind) == nil {
		return r, invalid("%s %s: the change holds nothing", r.kind, r.id)
	}
	return r, nil
}

// ordered tells whether entities of a kind stand in a list.
func ordered(kind string) bool { return kind != "" && kind != KindDocument && alwaysThere(kind) == nil }

// alwaysThere is the empty value of the kinds that every house has one of; nil for the others. An empty one is not
// stored.
func alwaysThere(kind string) any {
	switch kind {
	case kindText:
		return ""
	case kindSite:
		return house.Site{}
	case kindNetwork:
		return house.Network{}
	}
	return nil
}

// absent makes one thing of the ways to say that there is no entity, or an empty one.
func absent(kind string, text []byte) []byte {
	switch string(text) {
	case "", "null":
		return nil
	case `""`, "{}":
		if alwaysThere(kind) != nil {
			return nil
		}
	}
	return text
}

// decodeRow turns a stored change back.
func decodeRow(r row) (house.Change, error) {
	list, err := decodeRows([]row{r})
	if err != nil {
		return house.Change{}, err
	}
	return list[0], nil
}

// decodeRows turns stored changes back.
func decodeRows(rows []row) ([]house.Change, error) {
	texts := make([]entityText, 0, 2*len(rows))
	for _, r := range rows {
		texts = append(texts, entityText{r.kind, r.id, r.before}, entityText{r.kind, r.id, r.after})
	}
	values, err := decodeEntities(texts)
	if err != nil {
		return nil, err
	}
	list := make([]house.Change, len(rows))
	for i, r := range rows {
		c := house.Change{Kind: r.kind, ID: house.ID(r.id), Before: values[2*i], After: values[2*i+1], Follows: house.ID(r.follows)}
		if r.move != nil {
			c.Kind = kindOrder
			c.Before, c.After = house.Order{List: r.kind, Follows: house.ID(r.move.was)}, house.Order{List: r.kind, Follows: house.ID(r.move.now)}
		} else if empty := alwaysThere(r.kind); empty != nil {
			c.Before, c.After = orElse(c.Before, empty), orElse(c.After, empty)
		}
		list[i] = c
	}
	return list, nil
}

// orElse gives the value, or the other one where there is none.
func orElse(v, other any) any {
	if v == nil {
		return other
	}
	return v
}

// HouseChanges are the changes that concern the house itself: what house.Apply takes.
func HouseChanges(changes []house.Change) []house.Change {
	list := make([]house.Change, 0, len(changes))
	for _, c := range changes {
		if c.Kind != KindDocument {
			list = append(list, c)
		}
	}
	return list
}

// KindDocument is the kind of a change to a document: a text beside the house that has revisions as the house has, such
// as the user's own catalogue types or room data sheets. Its identity is the document's name ("types/mine.yaml"); Before
// and After hold its text as a string.
const KindDocument = "document"

func encodeDocument(c house.Change) (row, error) {
	r := row{kind: c.Kind, id: string(c.ID)}
	if err := checkName(r.id); err != nil {
		return r, err
	}
	for _, side := range []struct {
		from any
		to   *[]byte
	}{{c.Before, &r.before}, {c.After, &r.after}} {
		if side.from == nil {
			continue
		}
		text, ok := side.from.(string)
		if !ok || !utf8.ValidString(text) {
			return r, invalid("document %s is not valid UTF-8 text", r.id)
		}
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		if err := e.Encode(text); err != nil {
			return r, invalid("document %s cannot be written: %v", r.id, err)
		}
		*side.to = bytes.TrimSuffix(b.Bytes(), []byte("\n"))
	}
	return r, nil
}

// nameMost is the length of a name in bytes; longer ones do not fit every file system.
const nameMost = 200

// checkName refuses the name of an attachment or a document that could not be a file in a folder on every machine.
func checkName(name string) error {
	bad := func(why string) error {
		return invalid("%q cannot be the name of a file: %s; use letters, digits, spaces, - _ . and / between folders", name, why)
	}
	switch {
	case name == "" || len(name) > nameMost:
		return bad("it is empty or longer than 200 bytes")
	case !utf8.ValidString(name):
		return bad("it is not valid UTF-8")
	case strings.ContainsAny(name, "\\:*?\"<>|") || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return bad(`\ : * ? " < > | and control characters are not allowed`)
	}
	for part := range strings.SplitSeq(name, "/") {
		if part == "" || part == "." || part == ".." || strings.HasSuffix(part, ".") || strings.TrimSpace(part) != part {
			return bad("a part of it is empty, or begins or ends with a space or a full stop")
		}
		if reserved(part) {
			return bad("Windows keeps " + part + " for a device")
		}
	}
	return nil
}

// reserved tells names that Windows keeps for devices, with or without an ending.
func reserved(part string) bool {
	stem, _, _ := strings.Cut(strings.ToUpper(part), ".")
	switch stem {
	case "CON", "PRN", "AUX", "NUL":
		return true
	}
	return len(stem) == 4 && (strings.HasPrefix(stem, "COM") || strings.HasPrefix(stem, "LPT")) && stem[3] >= '0' && stem[3] <= '9'
}
