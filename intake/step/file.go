package step

import (
	"fmt"
	"strings"

	"wirewright/internal/problem"
)

// ID is the number of a record, as written after the `#`.
type ID uint64

// String prints the number as the file writes it.
func (id ID) String() string { return fmt.Sprintf("#%d", uint64(id)) }

// Limits bounds what a file may hold; a zero field means the default.
type Limits struct {
	Bytes    int // size of the file; 512 MiB by default
	Records  int // number of records; 8 million by default
	Depth    int // depth of lists within lists; 64 by default
	Values   int // values that File.Args may hold in all; 40 million by default
	Problems int // mistakes after which Parse gives up; 20 by default
}

func (l Limits) orDefaults() Limits {
	def := func(v *int, d int) {
		if *v <= 0 {
			*v = d
		}
	}
	def(&l.Bytes, 512<<20)
	def(&l.Records, 8_000_000)
	def(&l.Depth, 64)
	def(&l.Values, 40_000_000)
	def(&l.Problems, 20)
	return l
}

// Record is one record of the file: an entity of the data section, or of the header (ID 0).
type Record struct {
	ID      ID
	Keyword string // in upper case; "&" for a record of several keywords (complex instance), which this package does not read
	Line    int    // line on which the record begins, from 1
	from    int    // first byte after the opening bracket
	to      int    // the closing bracket
}

// String names the record for a person, e.g. "#12 IFCWALL".
func (r *Record) String() string {
	if r.ID == 0 {
		return r.Keyword
	}
	return r.ID.String() + " " + r.Keyword
}

// File is one parsed file. It is not safe for use by several goroutines at once, because Args remembers what it read.
type File struct {
	Name    string   // as given to Parse; stands in errors
	Header  []Record // records of the header section
	Records []Record // records of the data sections, in file order

	data   []byte
	limits Limits
	index  map[ID]int32
	kinds  map[string][]int32
	args   map[ID]cached
	values int
	block  []Value // what is left of the block that short lists are carved from
}

type cached struct {
	args []Value
	err  error
}

// Parse reads a file. On mistakes it returns a problem.List with a line and a record each and no file.
func Parse(name string, data []byte, limits Limits) (*File, error) {
	f := &File{Name: name, data: data, limits: limits.orDefaults(), args: map[ID]cached{}}
	if len(data) > f.limits.Bytes {
		return nil, problem.List{{Place: problem.Place{File: name},
			Text: fmt.Sprintf("the file has %d bytes; at most %d are read", len(data), f.limits.Bytes)}}
	}
	s := &scanner{file: f, data: data, line: 1, words: map[string]string{}}
	s.file.index = make(map[ID]int32, len(data)/90)
	s.run()
	if err := s.problems.Err(); err != nil {
		return nil, err
	}
	f.group()
	return f, nil
}

// group lists the records by keyword. Two passes size each list exactly.
func (f *File) group() {
	counts := map[string]int{}
	for i := range f.Records {
		counts[f.Records[i].Keyword]++
	}
	f.kinds = make(map[string][]int32, len(counts))
	for i := range f.Records {
		k := f.Records[i].Keyword
		list, ok := f.kinds[k]
		if !ok {
			list = make([]int32, 0, counts[k])
		}
		f.kinds[k] = append(list, int32(i))
	}
}

// Schema returns the first schema that the header names, in upper case; empty if it names none.
func (f *File) Schema() string {
	for i := range f.Header {
		if f.Header[i].Keyword != "FILE_SCHEMA" {
			continue
		}
		args, err := f.parse(&f.Header[i])
		if err == nil && len(args) > 0 && len(args[0].List) > 0 {
			return strings.ToUpper(args[0].List[0].Text())
		}
	}
	return ""
}

// Find returns the record with that number, nil if there is none.
func (f *File) Find(id ID) *Record {
	if i, ok := f.index[id]; ok {
		return &f.Records[i]
	}
	return nil
}

// All calls visit for every record of that keyword (upper case), in file order.
func (f *File) All(keyword string, visit func(*Record)) {
	for _, i := range f.kinds[keyword] {
		visit(&f.Records[i])
	}
}

// Count tells how many records have that keyword (upper case).
func (f *File) Count(keyword string) int { return len(f.kinds[keyword]) }

// Args reads the arguments of a record; it remembers them. An error is a problem.Problem list of one.
func (f *File) Args(r *Record) ([]Value, error) {
	if c, ok := f.args[r.ID]; ok {
		return c.args, c.err
	}
	args, err := f.parse(r)
	f.args[r.ID] = cached{args, err}
	return args, err
}

// ReadAll reads the arguments of every record and tells how many values they hold, without keeping them; it is how a
// whole file is checked for mistakes inside its arguments.
func (f *File) ReadAll() (int, error) {
	total := 0
	var list problem.List
	for i := range f.Records {
		f.values = 0
		_, err := f.parse(&f.Records[i])
		total += f.values
		if err != nil {
			list = append(list, err.(problem.List)...)
		}
		if len(list) >= f.limits.Problems {
			break
		}
	}
	f.values = 0
	return total, list.Err()
}

func (f *File) fault(r *Record, line int, text string, args ...any) error {
	return problem.List{{Place: problem.Place{File: f.Name, Line: line}, Entity: r.String(),
		Text: r.String() + ": " + fmt.Sprintf(text, args...)}}
}
