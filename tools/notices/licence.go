package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// licence is one licence text.
type licence struct {
	file string
	kind string // SPDX identifiers
	text string
}

// kinds tells a licence by sentences that its text must have, all of them, and that it must not have. The first that fits
// is taken. Wordings from opensource.org/licenses and spdx.org/licenses.
var kinds = []struct {
	kind string
	has  []string
	not  []string
}{
	{"OFL-1.1", []string{"sil open font license version 1.1", "bundled, redistributed and/or sold with any software"}, nil},
	{"EDL-1.0 (BSD-3-Clause)", []string{"eclipse distribution license - v 1.0", "redistribution and use in source and binary forms", "neither the name of the eclipse foundation"}, nil},
	{"Apache-2.0", []string{"apache license version 2.0, january 2004", "grant of copyright license", "grant of patent license"}, nil},
	{"ISC", []string{"permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted"}, nil},
	{"public domain", []string{"sqlite is public domain", "anyone is free to copy, modify, publish, use, compile, sell, or distribute"}, nil},
	{"BSD-3-Clause and MIT", []string{"third-party software notices", "redistribution and use in source and binary forms", "neither the name", "permission is hereby granted, free of charge"}, nil},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms, with or without modification, are permitted", "neither the name", "redistributions in binary form must reproduce the above copyright notice"}, []string{"permission is hereby granted, free of charge"}},
	{"BSD-2-Clause", []string{"redistribution and use in source and binary forms, with or without modification, are permitted", "redistributions in binary form must reproduce the above copyright notice"}, []string{"neither the name", "all advertising materials"}},
	{"MIT", []string{"permission is hereby granted, free of charge, to any person obtaining a copy of this software", "the above copyright notice and this permission notice shall be included in all copies or substantial portions", `the software is provided "as is", without warranty of any kind`}, []string{"redistribution and use in source"}},
}

// refused are words of licences that ask more of whoever passes the program on than a notice.
var refused = []string{"gnu general public license", "gnu lesser general public license", "gnu affero", "mozilla public license", "eclipse public license",
	"common development and distribution license", "server side public license", "business source license", "noncommercial"}

// errUnknown says that a text is no licence that is known here.
var errUnknown = errors.New("the licence is not known: read it, and add its wording in tools/notices/licence.go if the project may take it")

// kindOf tells what kind of licence a text is.
func kindOf(text string) (string, error) {
	plain := strings.NewReplacer("“", `"`, "”", `"`, "``", `"`, "''", `"`).Replace(strings.ToLower(strings.Join(strings.Fields(text), " ")))
	for _, k := range kinds {
		has := func(s string) bool { return strings.Contains(plain, s) }
		if slices.ContainsFunc(k.has, func(s string) bool { return !has(s) }) || slices.ContainsFunc(k.not, has) {
			continue
		}
		for _, r := range refused {
			if has(r) {
				return "", fmt.Errorf("it speaks of the %s: the project does not take that without a look at it", r)
			}
		}
		return k.kind, nil
	}
	return "", errUnknown
}

// readLicences reads and sorts the licence texts of all works; every mistake is told.
func readLicences(list []work) error {
	var wrong []error
	for i := range list {
		w := &list[i]
		for _, name := range w.files {
			b, err := os.ReadFile(filepath.Join(w.dir, name))
			if err != nil {
				wrong = append(wrong, fmt.Errorf("%s: %w", w.name, err))
				continue
			}
			text := strings.ReplaceAll(string(b), "\r\n", "\n")
			kind, err := kindOf(text)
			if err != nil {
				wrong = append(wrong, fmt.Errorf("%s, %s: %w", w.name, name, err))
			}
			w.licences = append(w.licences, licence{name, kind, text})
		}
	}
	return errors.Join(wrong...)
}
