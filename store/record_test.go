package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
)

func TestAttachmentsAreStoredOnce(t *testing.T) {
	ctx := t.Context()
	s := newJob(t)
	data := []byte("the same picture")
	for _, name := range []string{"a.png", "b/c.png", "a.png"} {
		digest, err := s.Attach(ctx, Attachment{Name: name, Media: "image/png", Who: "anna", Note: "north", Data: data})
		// SHA-256 of the text, computed with sha256sum of the GNU core utilities.
		if err != nil || digest != "afe1ed8d54cd80e6888fce90e432a12abae1e310f34015d2f741860737f7875f" {
			t.Fatal(digest, err)
		}
	}
	var blobs int
	err := s.read(ctx, func(x *txn) error {
		_, err := x.one("SELECT count(*) FROM blob", nil, &blobs)
		return err
	})
	if err != nil || blobs != 1 {
		t.Errorf("%d blobs, %v", blobs, err)
	}
	_, err = s.Attach(ctx, Attachment{Name: "A.PNG", Media: "image/png", Data: []byte("other")})
	wantKind(t, err, Exists, "a.png")
	if _, err := s.Attach(ctx, Attachment{Name: "b/c.png", Media: "image/png", Who: "anna", Note: "south", Data: data}); err != nil {
		t.Fatal(err)
	}
	if err := s.Detach(ctx, "a.png"); err != nil {
		t.Fatal(err)
	}
	got, err := s.Attachment(ctx, "b/c.png")
	if err != nil || !bytes.Equal(got.Data, data) || got.Note != "south" || got.Who != "anna" {
		t.Errorf("%+v, %v", got, err)
	}
	if err := s.Detach(ctx, "b/c.png"); err != nil {
		t.Fatal(err)
	}
	_, err = s.Blob(ctx, got.Digest)
	wantKind(t, err, Missing)
	wantKind(t, s.Detach(ctx, "a.png"), Missing)
}

func TestAttachmentNamesThatNoFolderCouldHold(t *testing.T) {
	s := newJob(t)
	for _, name := range []string{"", ".", "..", "/a", "a/", "a//b", "../a", "a/../b", "a\\b", "a:b", "con", "NUL.txt", "com1", "x/lpt9.png",
		"a.", " a", "a\x00", "a\nb", "\xff", strings.Repeat("x", 201)} {
		_, err := s.Attach(t.Context(), Attachment{Name: name, Media: "image/png"})
		if KindOf(err) != Invalid {
			t.Errorf("%q: %v", name, err)
		}
	}
	for _, name := range []string{"a", "plan 1.png", "Grundriß/Küche.png", "com", "com10", "conduit.txt"} {
		if _, err := s.Attach(t.Context(), Attachment{Name: name, Media: "image/png"}); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	_, err := s.Attach(t.Context(), Attachment{Name: "m", Media: "picture"})
	wantKind(t, err, Invalid, "media type")
}

func TestEvidenceAndJournalOnlyGrow(t *testing.T) {
	ctx := t.Context()
	s := newJob(t)
	must(t, s, 0, add(lamp("hall.lamp", 8)))
	proof := []byte("photo")
	seq, err := s.AddEvidence(ctx, Evidence{Kind: "point", ID: "hall.lamp", Rev: 1, Source: Measured, Who: "anna",
		What: "insulation resistance", Value: "> 500", Unit: "MΩ"}, proof)
	if err != nil || seq != 1 {
		t.Fatal(seq, err)
	}
	if _, err := s.AddEvidence(ctx, Evidence{Rev: 1, Source: Simulated, What: "all tests"}, nil); err != nil {
		t.Fatal(err)
	}
	list, err := s.EvidenceOf(ctx, "point", "hall.lamp")
	if err != nil || len(list) != 1 || list[0].String() != "point hall.lamp (revision 1): insulation resistance = > 500 MΩ, measured" {
		t.Errorf("%v, %v", list, err)
	}
	if got, err := s.Blob(ctx, list[0].Proof); err != nil || !bytes.Equal(got, proof) {
		t.Errorf("%q, %v", got, err)
	}
	if all, err := s.AllEvidence(ctx); err != nil || len(all) != 2 || all[1].Source != Simulated {
		t.Errorf("%v, %v", all, err)
	}
	for _, bad := range []Evidence{{Rev: 2, Source: Measured, What: "x"}, {Source: "guessed", What: "x"}, {Source: Assumed}, {Source: Assumed, What: "\xff"}} {
		if _, err := s.AddEvidence(ctx, bad, nil); KindOf(err) != Invalid && KindOf(err) != Missing {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	last, err := s.Append(ctx, Record{What: "load", Payload: json.RawMessage(`{"epoch": 1}`)}, Record{What: "press", Kind: "point", ID: "hall.lamp"})
	if err != nil || last != 2 {
		t.Fatal(last, err)
	}
	_, err = s.Append(ctx, Record{What: "good"}, Record{What: "bad", Payload: json.RawMessage("{")})
	wantKind(t, err, Invalid)
	if list, err := s.Journal(ctx, 0, 1); err != nil || len(list) != 1 || string(list[0].Payload) != `{"epoch":1}` {
		t.Errorf("%+v, %v", list, err)
	}
	if list, err := s.JournalOf(ctx, "point", "hall.lamp"); err != nil || len(list) != 1 || list[0].Seq != 2 {
		t.Errorf("%+v, %v", list, err)
	}
	for _, text := range []string{"UPDATE evidence SET value = 'x'", "DELETE FROM evidence", "UPDATE journal SET what = 'x'", "DELETE FROM journal"} {
		err := s.write(ctx, func(x *txn) error {
			_, err := x.exec(text)
			return err
		})
		if err == nil {
			t.Errorf("%s was done", text)
		}
	}
}

func TestResultsNameTheirRevisionAndAreBounded(t *testing.T) {
	ctx := t.Context()
	s := newJob(t)
	rev := Rev(0)
	for range resultsKept + 5 {
		rev = must(t, s, rev, add(lamp(lampName(rev), 1)))
		if err := s.SaveResult(ctx, Result{Stage: "check", Rev: rev, Data: json.RawMessage("[]"), Keep: rev == 2}); err != nil {
			t.Fatal(err)
		}
	}
	list, err := s.Results(ctx)
	if err != nil || len(list) != resultsKept+1 || list[0].Rev != 2 {
		t.Errorf("%d results from revision %d, %v", len(list), list[0].Rev, err)
	}
	rev = must(t, s, rev, add(lamp("more", 1)))
	if got, err := s.Result(ctx, "check", "", rev); err != nil || got.Rev != rev-1 {
		t.Errorf("the result is of revision %d, %v", got.Rev, err)
	}
	_, err = s.Result(ctx, "check", "", 1)
	wantKind(t, err, Missing)
	wantKind(t, s.SaveResult(ctx, Result{Stage: "check", Rev: rev + 1, Data: json.RawMessage("1")}), Missing)
	wantKind(t, s.SaveResult(ctx, Result{Stage: "check", Rev: rev, Data: json.RawMessage("x")}), Invalid)
}

// TestPlacesStayInOrder puts things anywhere into a list: the texts sort as the list does.
func TestPlacesStayInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []string
		for range rapid.IntRange(1, 200).Draw(t, "n") {
			at := rapid.IntRange(0, len(list)).Draw(t, "at")
			low, high := "", ""
			if at > 0 {
				low = list[at-1]
			}
			if at < len(list) {
				high = list[at]
			}
			place := placeBetween(low, high)
			if place <= low || high != "" && place >= high || strings.HasSuffix(place, "0") {
				t.Fatalf("%q does not stand between %q and %q", place, low, high)
			}
			list = append(list[:at], append([]string{place}, list[at:]...)...)
		}
	})
}

func TestPlacesDoNotGrowAtTheEnds(t *testing.T) {
	first, last := placeBetween("", ""), placeBetween("", "")
	for range 10_000 {
		first, last = placeBetween("", first), placeBetween(last, "")
	}
	if len(first) != placeDigits+1 || len(last) != placeDigits+1 {
		t.Errorf("the ends are %s and %s", first, last)
	}
	ends := placeBetween(placeAt(1<<32-1), "")
	if ends <= placeAt(1<<32-1) || placeBetween("", placeAt(0)) >= placeAt(0) {
		t.Error("there is nothing beyond the last number")
	}
}

func lampName(rev Rev) house.ID { return house.ID(fmt.Sprintf("l%d", rev)) }
