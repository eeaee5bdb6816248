package generated

// source draws numbers: the splitmix64 sequence of Steele, Lea and Flood (OOPSLA 2014), which needs no state but a number
// and is the same everywhere.
type source struct{ state uint64 }

func (s *source) next() uint64 {
	s.state += 0x9e3779b97f4a7c15
	z := s.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// between draws a whole number from low to high, both included.
func (s *source) between(low, high int) int {
	return low + int(s.next()%uint64(high-low+1))
}
