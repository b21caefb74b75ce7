package rules

import "shimwright/calc/unit"

// FromSheet gives facts with the construction and the limits of a sheet. Limits
// the sheet leaves out stay unset.
func FromSheet(s *Sheet) Facts {
	var f Facts
	f.Sheet = SheetFacts{
		RingSide: Say(s.Ring.Side), Tooth: Say(s.Ring.Tooth),
		PinionShim: Say(s.Pinion.Shim), Mark: Say(s.Pinion.PositiveMark),
		HighPinion: YesNo(s.Pinion.High), ReverseCut: YesNo(s.Pinion.ReverseCut),
		Carrier: Say(s.Carrier.By), Preload: Say(s.Preload.By), Coupled: YesNo(s.Preload.Coupled),
		Modifier: YesNo(s.Oil.Modifier),
	}
	if bolts, ok := s.RingBolts(); ok {
		f.Sheet.RingBolts, f.Sheet.RenewBolts = Say(bolts.Thread), YesNo(bolts.Renew)
	}
	if s.Carrier.By == Adjusters {
		f.Sheet.PerNotch = Know(s.Carrier.PerNotch())
	}
	l := s.Limits
	f.Limit = LimitFacts{
		Backlash: l.Backlash.fact(), Spread: l.BacklashSpread.fact().High, Runout: l.RingRunout.fact().High,
		DragNew: l.PinionDragNew.fact(), DragUsed: l.PinionDragUsed.fact(), Seal: l.SealDrag.fact(),
		TotalAdd: l.TotalDragAdd.fact(), SidePreload: l.SidePreload.fact(), EndPlay: l.CarrierEndPlay.fact(),
		CaseSpread: ifPositive(s.Carrier.SpreadLimit), SideStack: ifPositive(s.Carrier.MinimumStack),
	}
	f.Limit.Oven = TemperatureLimit{High: Temperature{l.OvenTemperature.High, l.OvenTemperature.Set}}
	f.Limit.Housing = TemperatureLimit{High: Temperature{l.HousingTemp.High, l.HousingTemp.Set}}
	if s.Carrier.MaxLeaves > 0 {
		f.Limit.Leaves = Know(float64(s.Carrier.MaxLeaves))
	}
	return f
}

func ifPositive(l unit.Length) Length { return Length{l, l > 0} }

func (r LengthRange) fact() LengthLimit {
	return LengthLimit{Low: Length{r.Low, r.Set}, High: Length{r.High, r.Set}}
}

func (r TorqueRange) fact() TorqueLimit {
	return TorqueLimit{Low: Torque{r.Low, r.Set}, High: Torque{r.High, r.Set}}
}

// derive fills what follows from the rest where it is not stated. derivedFrom
// lists the same dependencies.
func (f *Facts) derive() {
	fill(&f.Phase, phaseOf(f.Step))
	fill(&f.Lash.Spread, difference(f.Lash.Max, f.Lash.Min))
	fill(&f.Drag.Added, difference(f.Drag.Total, f.Drag.Pinion))
	fill(&f.Bearing.Taller, difference(f.Bearing.FinalHeight, f.Bearing.SetupHeight))
	rise := difference(f.Temp.Housing, f.Temp.Before)
	fill(&f.Temp.Rising, Difference{Rise(rise.Value), rise.Set})
	if f.Pinion.Teeth.Set && f.Ring.Teeth.Set && f.Pinion.Teeth.Value > 0 {
		fill(&f.Pinion.Ratio, Know(f.Ring.Teeth.Value/f.Pinion.Teeth.Value))
	}
	if d, c := f.Pattern.Drive.Along, f.Pattern.Coast.Along; d.Set && c.Set {
		ends := "opposite"
		switch {
		case d.Value == "center" || c.Value == "center":
			ends = "center"
		case d.Value == c.Value:
			ends = "same"
		}
		fill(&f.Pattern.Ends, Say(ends))
	}
	low, high := f.dragBand()
	fill(&f.Limit.Drag.Low, low)
	fill(&f.Limit.Drag.High, high)
}

// phaseOf gives the part of the job a step belongs to. What is read before the
// teardown is how the axle was found, not what is being built.
func phaseOf(step Word) Word {
	switch step.Value {
	case "open", "as-found", "teardown":
		return Say("before")
	case "summary", "break-in", "after":
		return Say("after")
	case "":
		return Word{}
	}
	return Say("build")
}

// dragBand gives the band a pinion drag reading is held against: new or used
// bearings, with what a seal adds where one is in. Where nobody said whether a
// seal was in, its drag widens the band at the top only.
func (f *Facts) dragBand() (low, high Torque) {
	switch f.Drag.Bearings.Value {
	case "new":
		low, high = f.Limit.DragNew.Low, f.Limit.DragNew.High
	case "used":
		low, high = f.Limit.DragUsed.Low, f.Limit.DragUsed.High
	default:
		return low, high
	}
	if f.Drag.Seal.Value == "off" || !f.Limit.Seal.High.Set {
		return low, high
	}
	high.Value += f.Limit.Seal.High.Value
	if f.Drag.Seal.Value == "on" && f.Limit.Seal.Low.Set {
		low.Value += f.Limit.Seal.Low.Value
	}
	return low, high
}

func fill[T any](to *Known[T], from Known[T]) {
	if !to.Set && from.Set {
		*to = from
	}
}

func difference[T ~float64](a, b Known[T]) Known[T] {
	return Known[T]{Value: a.Value - b.Value, Set: a.Set && b.Set}
}

// derivedFrom gives the paths a derived fact follows from, nil for one that is
// only stated.
func derivedFrom(path string) []string {
	switch path {
	case "phase":
		return []string{"step"}
	case "lash.spread":
		return []string{"lash.max", "lash.min"}
	case "drag.added":
		return []string{"drag.total", "drag.pinion"}
	case "bearing.taller":
		return []string{"bearing.final_height", "bearing.setup_height"}
	case "temp.rising":
		return []string{"temp.housing", "temp.before"}
	case "pinion.ratio":
		return []string{"pinion.teeth", "ring.teeth"}
	case "pattern.ends":
		return []string{"pattern.drive.along", "pattern.coast.along"}
	case "limit.drag.low", "limit.drag.high":
		return []string{"drag.bearings", "drag.seal", "limit.drag_new.low", "limit.drag_new.high",
			"limit.drag_used.low", "limit.drag_used.high", "limit.seal.low", "limit.seal.high"}
	}
	return nil
}
