package rules

import (
	"shimwright/calc/fastener"
	"shimwright/calc/unit"
)

// Sheet describes one axle construction as the shop knows it: geometry, how it
// is shimmed, limits, torques, oil, break-in and the shims at hand. It is read
// from a YAML file the shop owns; see LoadSheet.
type Sheet struct {
	Name  string      // the file's name without its ending
	Title string      // one line for people
	Note  string      // free text for people
	Units unit.System // the habit of the sheet's figures and of a shop that uses it

	Ring    Ring
	Pinion  Pinion
	Carrier Carrier
	Preload Preload
	Limits  Limits
	Fits    Fits
	Torques []Fastener
	Oil     Oil
	BreakIn []Leg
	Kit     Kit
	Reviews Reviews

	// Spanish is what of the sheet's texts is said in Spanish, by the text; see Said.
	Spanish map[string]string `json:",omitempty"`
}

// Ring is the ring gear. The angles and the cutter are zero where the shop does
// not know them; the contact model then takes stated proportions.
type Ring struct {
	Teeth           int
	OutsideDiameter unit.Length
	FaceWidth       unit.Length
	Offset          unit.Length // hypoid offset, without sign
	Side            Side        // where the ring gear sits, seen from the cover
	Tooth           ToothForm
	Spiral          unit.Angle  // at the mean point, of the ring gear
	Pressure        unit.Angle  // mean normal pressure angle
	PitchAngle      unit.Angle  // of the ring gear
	Cutter          unit.Length // face-mill cutter radius
}

// Side is left or right, seen from the cover.
type Side string

// The two sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Other gives the other side.
func (s Side) Other() Side {
	if s == Left {
		return Right
	}
	return Left
}

// ToothForm says how the tooth depth runs along the face.
type ToothForm string

// Face milled teeth taper, face hobbed teeth have uniform depth.
const (
	ToothUnknown ToothForm = ""
	FaceMilled   ToothForm = "face-milled"
	FaceHobbed   ToothForm = "face-hobbed"
)

// Pinion says how the pinion is set.
type Pinion struct {
	Teeth        int
	Shim         PinionShim
	PositiveMark MarkMeaning
	MarkUnit     MarkUnit    // what "+3" on the pinion head counts
	Mounting     unit.Length // nominal mounting distance, 0 where not known
	High         bool        // high-pinion housing
	ReverseCut   bool        // drive is on the concave flank of the ring gear
}

// PinionShim is the place of the pinion depth shim.
type PinionShim string

// Where the pinion shim can be. Under a cartridge, a thicker shim moves the
// pinion away from the ring gear; in the other places towards it.
const (
	BehindHeadBearing PinionShim = "head-bearing"
	UnderInnerRace    PinionShim = "inner-race"
	UnderCartridge    PinionShim = "cartridge"
)

// Deeper gives +1 where a thicker pinion shim moves the pinion deeper (towards
// the ring gear centre line) and −1 where it backs the pinion away.
func (p PinionShim) Deeper() float64 {
	if p == UnderCartridge {
		return -1
	}
	return 1
}

// MarkMeaning is what a positive marking on the pinion head means.
type MarkMeaning string

// The meanings of "+". MarkUnknown makes the dialog ask for it. Farther and
// Nearer are positions of the pinion head against the ring gear centre line;
// ThickerShim and ThinnerShim are papers that print a shim convention instead.
const (
	MarkUnknown MarkMeaning = ""
	Farther     MarkMeaning = "farther"
	Nearer      MarkMeaning = "nearer"
	ThickerShim MarkMeaning = "thicker-shim"
	ThinnerShim MarkMeaning = "thinner-shim"
)

// MarkUnit is what one count of a pinion head marking is.
type MarkUnit string

// The usual counts of a pinion marking.
const (
	MarkThou      MarkUnit = "thou"
	MarkHundredth MarkUnit = "hundredth-mm"
)

// Length turns a marking as painted ("+3") into a length.
func (u MarkUnit) Length(count float64) unit.Length {
	if u == MarkHundredth {
		return unit.Hundredth(count)
	}
	return unit.Thou(count)
}

// Carrier says how the carrier is positioned.
type Carrier struct {
	By           CarrierBy
	Pitch        unit.Length // thread pitch of an adjuster
	Notches      int         // notches in one turn of an adjuster
	PreloadAdd   unit.Length // shim added to both sides together for preload at final assembly
	SpreadLimit  unit.Length // how far the case may be spread, 0 where it is not
	MaxLeaves    int         // leaves allowed in one stack, 0 for no limit
	MinimumStack unit.Length // thinnest side stack that is allowed
}

// CarrierBy is how the carrier moves sideways.
type CarrierBy string

// The ways a carrier is positioned.
const (
	ShimsOutside CarrierBy = "shims-outside" // between bearing cup and housing
	ShimsUnder   CarrierBy = "shims-under"   // between bearing cone and carrier
	Adjusters    CarrierBy = "adjusters"     // threaded
)

// PerNotch gives the travel of one adjuster notch; 0 where there are none.
func (c Carrier) PerNotch() unit.Length {
	if c.By != Adjusters || c.Notches <= 0 {
		return 0
	}
	return c.Pitch / unit.Length(c.Notches)
}

// PreloadBy is how the pinion bearing preload is set.
type PreloadBy string

// The ways of setting pinion preload. PreloadShims: a thinner pack is more
// preload.
const (
	CrushSleeve  PreloadBy = "crush-sleeve"
	PreloadShims PreloadBy = "shims"
)

// Preload says how the pinion bearings are preloaded.
type Preload struct {
	By PreloadBy
	// Coupled: a change of the depth shim needs the same change in the preload
	// pack (shim or solid-spacer packs on head-bearing and race-shimmed pinions).
	Coupled bool
}

// Limits are the figures the shop works to. A limit the sheet leaves out has an
// empty Source and Set false.
type Limits struct {
	Backlash        LengthRange
	BacklashSpread  LengthRange // High is the limit
	JudgeBacklash   Judge
	RingRunout      LengthRange
	PinionDragNew   TorqueRange // new bearings, without seal
	PinionDragUsed  TorqueRange // used bearings, without seal
	SealDrag        TorqueRange // what a new seal adds
	TotalDragAdd    TorqueRange // total drag above pinion drag
	SidePreload     LengthRange // spread of the case or added shim that is side preload
	CarrierEndPlay  LengthRange
	OvenTemperature TemperatureRange // ring gear heating
	HousingTemp     TemperatureRange // break-in
}

// Judge says which backlash figure is held against the range.
type Judge string

// The tightest point, or the mean round the ring.
const (
	JudgeMinimum Judge = "minimum"
	JudgeMean    Judge = "mean"
)

// LengthRange is a range of lengths with its source.
type LengthRange struct {
	Low, High unit.Length
	Source    string
	Set       bool
}

// Middle gives the middle of the range.
func (r LengthRange) Middle() unit.Length { return (r.Low + r.High) / 2 }

// Has says whether v is inside, limits included, with a tenth of a micron to
// spare for rounding.
func (r LengthRange) Has(v unit.Length) bool { return v >= r.Low-1e-4 && v <= r.High+1e-4 }

// TorqueRange is a range of torques with its source.
type TorqueRange struct {
	Low, High unit.Torque
	Source    string
	Set       bool
}

// TemperatureRange is a range of temperatures with its source.
type TemperatureRange struct {
	Low, High unit.Temperature
	Source    string
	Set       bool
}

// Fastener is one line of the torque list.
type Fastener struct {
	Name   string
	Low    unit.Torque
	High   unit.Torque
	Thread Thread
	Locker bool // thread locker needed
	// Finish is the state of the threads the torque is meant for, and K the nut
	// factor that goes with it; empty and 0 where the sheet does not say.
	Finish fastener.Finish
	K      float64
	Renew  bool // a new one at every assembly
	Source string
}

// Thread is the hand of a thread.
type Thread string

// The two hands.
const (
	RightHand Thread = "right-hand"
	LeftHand  Thread = "left-hand"
)

// Oil is what goes in.
type Oil struct {
	Grade    string  // for example 75W-90
	Service  string  // for example GL-5
	Litres   float64 // capacity
	Modifier bool    // friction modifier for a clutch-type limited slip
	Source   string
}

// Leg is one break-in drive with its cooling time.
type Leg struct {
	Distance unit.Length // 0 where the leg is timed
	Minutes  float64     // 0 where the leg is a distance
	Cool     float64     // minutes of cooling after it
	Limit    unit.Temperature
	Note     string
}

// Kit is the shims at hand, by place.
type Kit struct {
	Pinion  []Leaf
	Side    []Leaf
	Preload []Leaf
}

// Leaf is one thickness of shim and how many of it there are.
type Leaf struct {
	Thickness unit.Length
	Count     int
}
