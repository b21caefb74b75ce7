package advise

import (
	"math"
	"math/rand/v2"
	"slices"

	"shimwright/calc/contact"
	"shimwright/calc/gearset"
	"shimwright/calc/lash"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// A virtual axle answers to gear moves as a real one might; the setters see only
// what is read on it.

// truth gives mean backlash, mm, and pattern centres for where the members stand
// against their right place, mm.
type truth interface {
	at(depth, ring float64) (lash float64, marks [4]float64)
	// part lays the flanks apart by what a pinion of another set would.
	part(by [4]float64)
}

// straightTruth answers in straight lines with slopes drawn at random about what
// practice says, whatever the sheet's geometry: a deliberately different truth.
type straightTruth struct {
	lash, kp, kg float64
	pinion, ring [4]float64
	bias         [4]float64
}

func (t *straightTruth) at(depth, ring float64) (float64, [4]float64) {
	var m [4]float64
	for i := range m {
		m[i] = max(-1, min(1, t.bias[i]+t.pinion[i]*depth+t.ring[i]*ring))
	}
	return t.lash - t.kp*depth - t.kg*ring, m
}

func (t *straightTruth) part(by [4]float64) {
	for i := range by {
		t.bias[i] += by[i]
	}
}

// between draws evenly.
func between(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// newStraight draws slopes over the ranges practice names (backlash 0.2–0.45 per
// unit of pinion and 0.55–0.85 per unit of ring gear move; a pattern that crosses
// from centre to edge in some 7 to 25 thou of pinion).
func newStraight(s *rules.Sheet, rng *rand.Rand) *straightTruth {
	t := &straightTruth{kp: between(rng, 0.20, 0.45), kg: between(rng, 0.55, 0.85)}
	limits := s.Limits.Backlash
	t.lash = limits.Middle().MM() + 0.15*(limits.High-limits.Low).MM()*rng.NormFloat64()
	across, along := between(rng, 2, 5.5), between(rng, 0.5, 2.5)
	t.pinion = [4]float64{-along * between(rng, 0.7, 1.3), -across * between(rng, 0.85, 1.15), along * between(rng, 0.5, 1.3), -across * between(rng, 0.85, 1.15)}
	in := between(rng, 0.3, 1.2)
	t.ring = [4]float64{-in * between(rng, 0.7, 1.3), -between(rng, 0, 0.4), -in * between(rng, 0.5, 1.1), -between(rng, 0, 0.4)}
	if s.Pinion.ReverseCut {
		t.pinion[0], t.pinion[2] = t.pinion[2], t.pinion[0]
		t.ring[0], t.ring[2] = t.ring[2], t.ring[0]
	}
	for i := range t.bias {
		t.bias[i] = 0.08 * rng.NormFloat64()
	}
	return t
}

// contactTruth is the contact model of a set that differs from the sheet's: other
// crowns, angles, offset and shaft angle.
type contactTruth struct {
	lash, kp, kg float64
	model        *contact.Model
	ws           *contact.Workspace
	offset       unit.Length
	shaft        unit.Angle
	bias         [4]float64
}

func (t *contactTruth) at(depth, ring float64) (float64, [4]float64) {
	limit := func(v float64) unit.Length { return unit.MM(max(-4, min(4, v))) }
	r, err := t.model.PatternIn(t.ws, contact.Displacement{Pinion: limit(depth), Ring: limit(ring), Offset: t.offset, Shaft: t.shaft})
	if err != nil {
		panic(err) // the displacement is limited above
	}
	m := [4]float64{r.Drive.Along, r.Drive.Across, r.Coast.Along, r.Coast.Across}
	for i := range m {
		m[i] = max(-1, min(1, m[i]+t.bias[i]))
	}
	return t.lash - t.kp*depth - t.kg*ring, m
}

func (t *contactTruth) part(by [4]float64) {
	for i := range by {
		t.bias[i] += by[i]
	}
}

// newContact draws a real set near the sheet's. It gives nil where what was drawn
// is no gear set.
func newContact(s *rules.Sheet, rng *rand.Rand) *contactTruth {
	set, err := gearset.Complete(gearset.Known{
		Z1: s.Pinion.Teeth, Z2: s.Ring.Teeth, OuterDiameter: s.Ring.OutsideDiameter,
		FaceWidth: s.Ring.FaceWidth * unit.Length(between(rng, 0.97, 1.03)), Offset: s.Ring.Offset,
		RingSpiral: s.Ring.Spiral + unit.Deg(between(rng, -2, 2)), Pressure: s.Ring.Pressure + unit.Deg(between(rng, -1.5, 1.5)),
		RingPitchAngle: s.Ring.PitchAngle, CutterRadius: s.Ring.Cutter, UniformDepth: s.Ring.Tooth == rules.FaceHobbed,
	})
	if err != nil {
		return nil
	}
	gear, err := contact.FromSet(set)
	if err != nil {
		return nil
	}
	gear.ReverseCut = s.Pinion.ReverseCut
	factor := func() float64 { return math.Exp(between(rng, -math.Ln2*0.85, math.Ln2*0.85)) }
	m, err := contact.New(gear, contact.Options{
		Along: 21, Across: 13, StepsPerPitch: 16,
		CrownAlong:  contact.DefaultCrownAlong * unit.Length(factor()),
		CrownAcross: contact.DefaultCrownAcross * unit.Length(factor()),
		CrownTwist:  unit.MM(between(rng, -0.008, 0.008)),
	})
	if err != nil {
		return nil
	}
	slopes, err := lash.SlopesOf(set, lash.Dial{})
	if err != nil {
		return nil
	}
	limits := s.Limits.Backlash
	t := &contactTruth{
		model: m, ws: m.NewWorkspace(),
		lash: limits.Middle().MM() + 0.15*(limits.High-limits.Low).MM()*rng.NormFloat64(),
		// A dial never stands quite square to the tooth.
		kp: slopes.Pinion * between(rng, 0.75, 1.25), kg: slopes.Ring * between(rng, 0.75, 1.25),
		offset: unit.MM(0.03 * rng.NormFloat64()), shaft: unit.Rad(0.0002 * rng.NormFloat64()),
	}
	for i := range t.bias {
		t.bias[i] = 0.05 * rng.NormFloat64()
	}
	return t
}

// trouble is what is wrong with a stubborn axle.
type trouble string

const (
	sound      trouble = ""
	runout     trouble = "runout"     // the ring gear wobbles beyond the limit
	mixedSet   trouble = "mixed set"  // the flanks lie apart
	misSeated  trouble = "mis-seated" // a bearing sits wrong in one assembly
	grossSlip  trouble = "misread"    // one reading is badly wrong
	wrongShims trouble = "wrong side" // one change goes the other way
)

// bench is a virtual axle on the bench, with the shims that are in it.
type bench struct {
	sheet *rules.Sheet
	truth truth
	rng   *rand.Rand
	trouble
	at int // the assembly the trouble comes in

	depth0, ring0 float64 // where the members stood in the first build
	wobble        float64 // half the swing of backlash round the ring, mm
	places        int

	attempts      []Attempt
	stacks        Stacks
	depth, ring   float64 // now, as built
	slipP, slipR  float64 // how far the parts are from where the shop thinks
	lash          float64 // true mean backlash of the assembly on the bench
	marks         [4]float64
	assemblies    int
	movedP, moveR unit.Length
}

// Errors of the virtual shop: dial and eye as in practice, members that come back
// to a quarter of a thou.
const (
	virtualDial     = 0.009 // mm
	virtualEye      = 0.15
	virtualAssembly = 0.005 // mm
	virtualDepth    = 0.40  // mm either way, of the first build's pinion: nothing is known of its shim
	virtualRing     = 0.60
)

func newBench(s *rules.Sheet, t truth, tr trouble, rng *rand.Rand) *bench {
	b := &bench{sheet: s, truth: t, rng: rng, trouble: tr, at: 1 + rng.IntN(2), places: 4 + 4*rng.IntN(2)}
	b.depth0 = between(rng, -virtualDepth, virtualDepth)
	b.ring0 = between(rng, -virtualRing, virtualRing/3)
	b.wobble = between(rng, 0.002, 0.011)
	if tr == mixedSet {
		t.part([4]float64{0.1, 0.75, -0.1, -0.75})
	}
	if tr == runout {
		b.wobble = between(rng, 0.045, 0.09)
	}
	// What a stack is built of at first: two leaves about as thick as wanted.
	thick := func(kit []rules.Leaf, want unit.Length) Stack {
		near := func(want unit.Length) unit.Length {
			best := kit[0].Thickness
			for _, l := range kit {
				if (l.Thickness - want).Abs() < (best - want).Abs() {
					best = l.Thickness
				}
			}
			return best
		}
		first := near(want)
		st := Stack{Known: true, Thickness: first, Leaves: []unit.Length{first}}
		if second := near(want - first); first+second < want+grid(s) {
			st.Thickness += second
			st.Leaves = append(st.Leaves, second)
		}
		return st
	}
	middle := s.Kit.Pinion[len(s.Kit.Pinion)*6/10].Thickness
	if middle < unit.MM(0.3) {
		middle = unit.Thou(32) // a kit of thin leaves
	}
	stack := middle + unit.MM(0.45)
	if s.Kit.Pinion[0].Thickness > unit.MM(0.3) {
		// No thin leaves to add: the kit ends with its thickest shim.
		stack = s.Kit.Pinion[len(s.Kit.Pinion)/2].Thickness + unit.MM(b.depth0/2)*unit.Length(s.Pinion.Shim.Deeper())
	}
	b.stacks.Pinion = thick(s.Kit.Pinion, stack)
	if s.Carrier.By != rules.Adjusters {
		side := max(s.Carrier.MinimumStack+unit.Thou(65), unit.Thou(80))
		apart := unit.Length(0)
		if s.Carrier.MaxLeaves > 0 && s.Carrier.MaxLeaves <= 3 {
			// One thick shim a side: the kit ends with it, so the sides stand about its
			// middle with half the way to go on either hand.
			side = s.Kit.Side[len(s.Kit.Side)/2+1].Thickness
			apart = unit.MM(b.ring0 / 2)
			if s.Ring.Side == rules.Right {
				apart = -apart
			}
		}
		b.stacks.Left = thick(s.Kit.Side, side+apart)
		b.stacks.Right = thick(s.Kit.Side, side-apart)
	}
	if len(s.Kit.Preload) > 0 && s.Preload.Coupled {
		b.stacks.Preload = thick(s.Kit.Preload, unit.Thou(60))
	}
	return b
}

// assemble builds the axle with gear moves since the last assembly, and reads it.
func (b *bench) assemble(pinion, ring unit.Length) {
	b.movedP, b.moveR = b.movedP+pinion, b.moveR+ring
	if b.trouble == wrongShims && b.assemblies == b.at {
		if ring.Abs() > pinion.Abs() {
			b.slipR -= 2 * ring.MM()
		} else {
			b.slipP -= 2 * pinion.MM()
		}
	}
	b.depth = b.depth0 + b.movedP.MM() + b.slipP + virtualAssembly*b.rng.NormFloat64()
	b.ring = b.ring0 + b.moveR.MM() + b.slipR + virtualAssembly*b.rng.NormFloat64()
	if b.trouble == misSeated && b.assemblies == b.at {
		b.ring += math.Copysign(between(b.rng, 0.08, 0.2), b.rng.Float64()-0.5)
	}
	b.lash, b.marks = b.truth.at(b.depth, b.ring)
	b.assemblies++
	b.read()
}

// read takes the readings of the assembly on the bench, anew.
func (b *bench) read() {
	a := Attempt{Pinion: b.movedP, Ring: b.moveR, Stacks: b.stacks}
	step := grid(b.sheet) / 2
	if b.sheet.Units == unit.Metric {
		step = unit.MM(0.01)
	}
	phase := 2 * math.Pi * b.rng.Float64()
	for i := range b.places {
		l := b.lash + b.wobble*math.Cos(phase+2*math.Pi*float64(i)/float64(b.places)) + virtualDial*b.rng.NormFloat64()
		a.Backlash = append(a.Backlash, max(0, round(unit.MM(l), step)))
	}
	var seen [4]float64
	for i, m := range b.marks {
		switch v := m + virtualEye*b.rng.NormFloat64(); {
		case v > 1./3:
			seen[i] = 2. / 3
		case v < -1./3:
			seen[i] = -2. / 3
		}
	}
	if b.trouble == grossSlip && b.assemblies == b.at+1 {
		if b.rng.Float64() < 0.5 {
			for i := range a.Backlash {
				a.Backlash[i] += unit.Thou(10) // a whole tenth of a turn of the dial
			}
		} else {
			seen[0], seen[1] = -seen[0], -seen[1]
			if seen[1] == 0 {
				seen[1] = 2. / 3
			}
		}
		b.trouble = sound
	}
	a.Drive = Mark{Along: seen[0], Across: seen[1], AlongKnown: true, AcrossKnown: true}
	a.Coast = Mark{Along: seen[2], Across: seen[3], AlongKnown: true, AcrossKnown: true}
	b.attempts = append(b.attempts, a)
}

// judgedTruth is the true backlash at the point the sheet judges by.
func (b *bench) judgedTruth() float64 {
	if b.sheet.Limits.JudgeBacklash == rules.JudgeMean {
		return b.lash
	}
	return b.lash - b.wobble
}

// Where a finish is a wrong one: backlash outside the limits by more than half a
// thou, or a pattern's centre nearer to an edge than to the middle.
const (
	wrongLashBy  = 0.0127
	wrongPattern = 0.55
)

func (b *bench) right() bool {
	l := b.sheet.Limits.Backlash
	j := b.judgedTruth()
	if j < l.Low.MM()-wrongLashBy || j > l.High.MM()+wrongLashBy {
		return false
	}
	for _, m := range b.marks {
		if math.Abs(m) > wrongPattern {
			return false
		}
	}
	return b.trouble != mixedSet && b.trouble != runout
}

// outcome is how a job ended.
type outcome struct {
	assemblies int
	rereads    int // assemblies painted and read once more
	verdict    Verdict
	right      bool
}

// mostAssemblies ends a job that never finishes.
const mostAssemblies = 15

// setter decides on what was read: a verdict, and the gear moves of a change.
type setter interface {
	next(*bench) (Verdict, change, change)
}

// run does a whole job.
func (b *bench) run(s setter) outcome {
	b.assemble(0, 0)
	rereads := 0
	for {
		verdict, pinion, ring := s.next(b)
		switch {
		case verdict == Good || verdict == Cannot:
			return outcome{b.assemblies, rereads, verdict, b.right()}
		case b.assemblies >= mostAssemblies:
			return outcome{b.assemblies, rereads, Change, false}
		case verdict == More:
			rereads++
			b.attempts = b.attempts[:len(b.attempts)-1]
			b.read()
			b.attempts[len(b.attempts)-1].Sure = true
		default:
			b.assemble(b.install(pinion, ring))
		}
	}
}

// install puts the leaves of a change in, and gives the gear moves as the shop
// writes them down. A stack that is built to its thickness is what it should be,
// whatever went wrong in it before; adjusters only turn on from where they are.
func (b *bench) install(pinion, ring change) (toldPinion, toldRing unit.Length) {
	toldPinion, toldRing = pinion.move, ring.move
	var by [3]unit.Length // pinion, left, right
	for _, p := range append(slices.Clone(pinion.parts), ring.parts...) {
		i := slices.Index([]string{"pinion", "left", "right"}, p.name)
		st := []*Stack{&b.stacks.Pinion, &b.stacks.Left, &b.stacks.Right}[i]
		by[i] = p.thickness - st.Thickness
		st.Thickness, st.Leaves = p.thickness, p.leaves
	}
	if len(pinion.parts) > 0 {
		toldPinion, b.slipP = by[0]*unit.Length(b.sheet.Pinion.Shim.Deeper()), 0
	}
	if len(ring.parts) > 0 {
		toldRing, b.slipR = (by[1]-by[2])/2, 0
		if b.sheet.Ring.Side == rules.Right {
			toldRing = -toldRing
		}
	}
	return toldPinion, toldRing
}

// rightAtFirst says that the first build is right: nothing is to be set.
func (b *bench) rightAtFirst() bool {
	b.lash, b.marks = b.truth.at(b.depth0, b.ring0)
	return b.right()
}
