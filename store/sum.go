package store

import (
	"encoding/binary"
	"hash/crc32"
)

// rowSum is the checksum of a row: CRC-32C over its columns, each preceded by its length, so that no two rows with
// different columns feed the same bytes. It finds what SQLite's own integrity check cannot: a flipped bit inside a value.
type rowSum struct {
	table *crc32.Table
	sum   uint32
}

// newSum starts a checksum; the table name keeps a row from passing in another table.
func newSum(table string) *rowSum {
	s := &rowSum{table: crc32.MakeTable(crc32.Castagnoli)}
	return s.text(table)
}

// text adds texts.
func (s *rowSum) text(columns ...string) *rowSum {
	for _, c := range columns {
		s.number(int64(len(c)))
		s.sum = crc32.Update(s.sum, s.table, []byte(c))
	}
	return s
}

// bytes adds bytes.
func (s *rowSum) bytes(column []byte) *rowSum {
	s.number(int64(len(column)))
	s.sum = crc32.Update(s.sum, s.table, column)
	return s
}

// number adds whole numbers.
func (s *rowSum) number(columns ...int64) *rowSum {
	for _, c := range columns {
		s.sum = crc32.Update(s.sum, s.table, appendNumber(nil, c))
	}
	return s
}

// value is what stands in the sum column.
func (s *rowSum) value() int64 { return int64(s.sum) }

// appendNumber appends a whole number in eight bytes.
func appendNumber(b []byte, n int64) []byte { return binary.LittleEndian.AppendUint64(b, uint64(n)) }
