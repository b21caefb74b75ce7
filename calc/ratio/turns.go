package ratio

// RepeatHz gives how often in a second the same two teeth meet, for a pinion speed
// in turns a minute (0 to 50,000): mesh frequency × common divisor / (z1·z2), the
// "hunting tooth frequency". 0 for a pair without teeth.
//
// Source: W. C. Foiles, Gear frequencies using the Euclidean algorithm. One page
// gives common divisor × rpm/60 for it, which is no such rate.
func (p Pair) RepeatHz(pinion float64) (float64, error) {
	if err := sensible("pinion speed in turns a minute", pinion, 0, 50000); err != nil {
		return 0, err
	}
	if p.TurnsToRepeat() == 0 {
		return 0, nil
	}
	return pinion / 60 / float64(p.TurnsToRepeat()), nil
}

// FromTurns gives the axle ratio from turning a wheel by hand and counting the
// shaft: shaft turns over wheel turns. Where the other wheel is held, an open
// differential makes the wheel turn twice for one turn of the ring gear (held
// true): the ratio is then twice as much.
//
// Derivation: the ring gear turns at the mean of the two wheels.
func FromTurns(shaft, wheel float64, held bool) (float64, error) {
	for name, v := range map[string]float64{"turns of the shaft": shaft, "turns of the wheel": wheel} {
		if err := sensible(name, v, 0.1, 1000); err != nil {
			return 0, err
		}
	}
	r := shaft / wheel
	if held {
		r *= 2
	}
	return r, sensible("ratio", r, 0.5, 100)
}
