package scene

import "strings"

// Clip shortens a text with an ellipsis until it is at most width mm wide; nothing is left where not even that fits.
func Clip(s string, size, width float64, bold bool) string {
	if TextWidth(s, size, bold) <= width {
		return s
	}
	runes := []rune(s)
	low, high := 0, len(runes) // so many letters fit; so many do not
	for high-low > 1 {
		n := (low + high) / 2
		if TextWidth(string(runes[:n])+"…", size, bold) <= width {
			low = n
		} else {
			high = n
		}
	}
	if low == 0 && TextWidth("…", size, bold) > width {
		return ""
	}
	return strings.TrimRight(string(runes[:low]), " ") + "…"
}

// Wrap breaks a text into lines of at most width mm: at line feeds and between words; a longer word behind a dot, hyphen
// or the like, and only where it has none in the middle of its letters. A line has one letter at least, however narrow.
func Wrap(s string, size, width float64, bold bool) []string {
	var lines []string
	for _, paragraph := range strings.Split(s, "\n") {
		lines = append(lines, wrapParagraph(strings.FieldsFunc(paragraph, isBlank), size, width, bold)...)
	}
	return lines
}

// Shorten keeps the first lines of a text; the last of them ends with an ellipsis where there were more.
func Shorten(lines []string, most int, size, width float64, bold bool) []string {
	if most < 1 || len(lines) <= most {
		return lines
	}
	last := Clip(lines[most-1]+" …", size, width, bold)
	return append(lines[:most-1:most-1], last)
}

func isBlank(r rune) bool { return r == ' ' || r == '\t' || r == '\r' }

func wrapParagraph(words []string, size, width float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range words {
		try := word
		if line != "" {
			try = line + " " + word
		}
		if !wider(try, size, width, bold) {
			line = try
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for wider(word, size, width, bold) {
			head := fit(word, size, width, bold)
			if head == word {
				break
			}
			lines, word = append(lines, head), word[len(head):]
		}
		line = word
	}
	return append(lines, line)
}

// wider tells whether a text is wider than width mm; of a very long one it looks at the beginning first.
func wider(s string, size, width float64, bold bool) bool {
	const enough = 2000 // bytes
	if len(s) > 2*enough && TextWidth(strings.ToValidUTF8(s[:enough], ""), size, bold) > width {
		return true
	}
	return TextWidth(s, size, bold) > width
}

// breaks are the characters behind which an identity, an address or a composed word may go on in the next line.
const breaks = ".-/_:,;–·"

// Pieces splits a word where it may go on in the next line.
func Pieces(word string) []string {
	var list []string
	from := 0
	for i, r := range word {
		if end := i + len(string(r)); strings.ContainsRune(breaks, r) && end < len(word) && i > from {
			list, from = append(list, word[from:end]), end
		}
	}
	return append(list, word[from:])
}

// fit is the beginning of a word that goes onto a line of width mm: up to its last break if it has one that leaves the
// line not nearly empty, else as many letters as fit, at least one.
func fit(word string, size, width float64, bold bool) string {
	head := ""
	for _, p := range Pieces(word) {
		if TextWidth(head+p, size, bold) > width {
			break
		}
		head += p
	}
	if head != "" && head != word && TextWidth(head, size, bold) > width/4 {
		return head
	}
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && TextWidth(word[:next], size, bold) > width {
			break
		}
		end = next
	}
	return word[:end]
}
