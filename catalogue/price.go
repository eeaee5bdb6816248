package catalogue

import "fmt"

// String prints the price with two decimals, without the currency.
func (p Price) String() string { return fmt.Sprintf("%.2f", float64(p)/1e6) }
