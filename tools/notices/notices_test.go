package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "write the page anew")

// The page in the repository is what the tree gives today.
func TestPageIsCurrent(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("the go command is not in the path")
	}
	root := filepath.Join("..", "..")
	got, err := generate(root)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(root, pageName)
	if *rewrite {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s is not current: go run ./tools/notices", pageName)
	}
	for _, line := range []string{"| github.com/eclipse/paho.golang | v0.23.0 | module | EDL-1.0 (BSD-3-Clause) |", "| workbench/static/font |  | fonts | OFL-1.1 |", "| Go | "} {
		if !strings.Contains(got, line) {
			t.Errorf("the page does not have %q", line)
		}
	}
	for _, foreign := range []string{"rapid", "chromedp", "hashicorp"} {
		if strings.Contains(got, foreign) {
			t.Errorf("%s is used by tests or not at all, so it is not linked", foreign)
		}
	}
}

// mit is the wording of the MIT licence (opensource.org/license/mit).
const mit = `Copyright (c) 2026 Somebody

Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal in
the Software without restriction.

The above copyright notice and this permission notice shall be included in all copies
or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND.`

// bsd is the wording of the BSD licences (opensource.org/license/bsd-2-clause); clause makes it the one of three clauses.
const (
	bsd = `Redistribution and use in source and binary forms, with or without modification, are permitted provided that:
1. Redistributions of source code must retain the above copyright notice.
2. Redistributions in binary form must reproduce the above copyright notice in the documentation.`
	clause = "\n3. Neither the name of the copyright holder nor the names of its contributors may be used to endorse products."
)

func TestKinds(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{mit, "MIT"},
		{strings.ReplaceAll(mit, "\n", "\n  "), "MIT"},
		{bsd, "BSD-2-Clause"},
		{bsd + clause, "BSD-3-Clause"},
		{"Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted", "ISC"},
		{bsd + "\nAll advertising materials mentioning features must display an acknowledgement", ""}, // the BSD licence of four clauses
		{mit[:200], ""},
		{"All rights reserved.", ""},
		{"", ""},
		{"GNU GENERAL PUBLIC LICENSE Version 3", ""},
		{mit + " or, at your option, the GNU General Public License", ""},
	} {
		got, err := kindOf(c.text)
		if got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%.60q: %q, %v; want %q", c.text, got, err, c.want)
		}
	}
}

// An unknown licence, and a missing one, are errors that name the work; all are told at once.
func TestUnknownLicencesAreRefused(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "LICENSE"), []byte("Ask me."), 0o644); err != nil {
		t.Fatal(err)
	}
	err := readLicences([]work{{name: "example.org/a", dir: dir, files: []string{"LICENSE"}}, {name: "example.org/b", dir: dir, files: []string{"COPYING"}}})
	if !errors.Is(err, errUnknown) || !errors.Is(err, os.ErrNotExist) || !strings.Contains(err.Error(), "example.org/a, LICENSE") || !strings.Contains(err.Error(), "example.org/b") {
		t.Errorf("%v", err)
	}
	if _, err := licenceFiles(&work{name: "example.org/c", dir: t.TempDir()}); err == nil {
		t.Error("a module without a licence file is taken")
	}
}

func TestFontsNeedTheirLicence(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "a", "font")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	write := func(name string) {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("sans.ttf")
	if _, err := fonts(root); err == nil || !strings.Contains(err.Error(), "a/font") {
		t.Errorf("fonts without a licence: %v", err)
	}
	write(fontLicence)
	write("serif.woff2")
	list, err := fonts(root)
	if err != nil || len(list) != 1 || list[0].name != "a/font" {
		t.Errorf("%+v, %v", list, err)
	}
}

// A text that several works share stands once.
func TestTextsStandOnce(t *testing.T) {
	l := licence{"LICENSE", "MIT", mit + "  \n\n"}
	p := page([]work{{name: "a", licences: []licence{l, l}}, {name: "b", licences: []licence{{"COPYING", "MIT", mit}}}})
	if strings.Count(p, "Copyright (c) 2026") != 1 || !strings.Contains(p, "## MIT: a, b\n") {
		t.Error(p)
	}
}
