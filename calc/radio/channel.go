package radio

// Centre is the centre frequency in GHz of a 20 MHz channel by its number, and false where no band has the number. The
// numbers of the 6 GHz band begin at 1 again: only those above 177 are taken for it, the others for the lower bands.
// IEEE 802.11: channel starting frequencies 2.407, 5.000 and 5.950 GHz, 5 MHz a number; channel 14 stands apart.
func Centre(channel int) (gigahertz float64, ok bool) {
	switch {
	case channel >= 1 && channel <= 13:
		return float64(2407+5*channel) / 1000, true
	case channel == 14:
		return 2.484, true
	case channel >= 32 && channel <= 177:
		return float64(5000+5*channel) / 1000, true
	case channel > 177 && channel <= 233:
		return float64(5950+5*channel) / 1000, true
	}
	return 0, false
}
