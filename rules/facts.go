package rules

import "shimwright/calc/unit"

// Facts is what a rule can ask about: the job as it stands together with the
// message that was just read. Conditions name the fields by their expr tags, so
// Lash.Min is lash.min in a rule. Whatever is not known is left unset and keeps
// the rules that need it quiet. Evaluate fills what follows from the rest (see
// derive), so the caller states only what it has.
type Facts struct {
	Units unit.System `expr:"-"` // how texts write quantities
	// Language is what texts are written in, by its ISO 639-1 code: es where a rule
	// has Spanish, English otherwise.
	Language string   `expr:"-"`
	Heard    []string `expr:"-"` // ids of dangers named in this message: heard("oven-hot")
	Stated   []string `expr:"-"` // facts stated in this message without a number: stated("caps-torqued")

	Step   Word `expr:"step"`   // the step the job is at, see Vocabulary
	Phase  Word `expr:"phase"`  // derived from Step: before the teardown is done, build, after
	Role   Word `expr:"role"`   // who wrote: tech, apprentice, mentor, customer
	Doing  Word `expr:"doing"`  // what the message is about: begin (the step), reading, move, finish, close, run, drive, approve
	Gears  Word `expr:"gears"`  // the gear set: new, used
	Signed Word `expr:"signed"` // mentor's sign-off of the pattern and the readings: yes, no

	Sheet   SheetFacts   `expr:"sheet"`
	Limit   LimitFacts   `expr:"limit"`
	Lash    LashFacts    `expr:"lash"`
	Pattern PatternFacts `expr:"pattern"`
	Drag    DragFacts    `expr:"drag"`
	Sleeve  SleeveFacts  `expr:"sleeve"`
	Bearing BearingFacts `expr:"bearing"`
	Carrier CarrierFacts `expr:"carrier"`
	Ring    RingFacts    `expr:"ring"`
	Pinion  PinionFacts  `expr:"pinion"`
	Move    MoveFacts    `expr:"move"`
	Shim    ShimFacts    `expr:"shim"`
	Temp    TempFacts    `expr:"temp"`
	Fit     FitFacts     `expr:"fit"`
	Oil     OilFacts     `expr:"oil"`
	BreakIn BreakInFacts `expr:"breakin"`
	Reading ReadingFacts `expr:"reading"`
}

// SheetFacts is the construction of the axle; FromSheet fills it.
type SheetFacts struct {
	RingSide   Word   `expr:"ring_side"`   // left, right
	Tooth      Word   `expr:"tooth"`       // face-milled, face-hobbed
	PinionShim Word   `expr:"pinion_shim"` // head-bearing, inner-race, cartridge
	Mark       Word   `expr:"mark"`        // meaning of a positive head marking: farther, nearer, thicker-shim, thinner-shim
	HighPinion Word   `expr:"high_pinion"` // yes, no
	ReverseCut Word   `expr:"reverse_cut"` // yes, no
	Carrier    Word   `expr:"carrier"`     // shims-outside, shims-under, adjusters
	Preload    Word   `expr:"preload"`     // crush-sleeve, shims
	Coupled    Word   `expr:"coupled"`     // yes, no: depth and preload pack change together
	RingBolts  Word   `expr:"ring_bolts"`  // thread of the ring gear bolts: right-hand, left-hand
	RenewBolts Word   `expr:"renew_bolts"` // yes, no
	Modifier   Word   `expr:"modifier"`    // yes, no: friction modifier wanted
	PerNotch   Length `expr:"per_notch"`   // travel of one adjuster notch
}

// LengthLimit, TorqueLimit and TemperatureLimit are ranges of the sheet.
type (
	LengthLimit struct {
		Low  Length `expr:"low"`
		High Length `expr:"high"`
	}
	TorqueLimit struct {
		Low  Torque `expr:"low"`
		High Torque `expr:"high"`
	}
	TemperatureLimit struct {
		Low  Temperature `expr:"low"`
		High Temperature `expr:"high"`
	}
)

// LimitFacts are the limits of the sheet; FromSheet fills them. Drag is derived:
// the band that fits the bearings and the seal of the last pinion drag reading.
type LimitFacts struct {
	Backlash    LengthLimit      `expr:"backlash"`
	Spread      Length           `expr:"spread"` // of the backlash round the ring
	Runout      Length           `expr:"runout"`
	DragNew     TorqueLimit      `expr:"drag_new"`
	DragUsed    TorqueLimit      `expr:"drag_used"`
	Seal        TorqueLimit      `expr:"seal"`
	Drag        TorqueLimit      `expr:"drag"`
	TotalAdd    TorqueLimit      `expr:"total_add"` // total drag above pinion drag
	SidePreload LengthLimit      `expr:"side_preload"`
	EndPlay     LengthLimit      `expr:"end_play"`
	CaseSpread  Length           `expr:"case_spread"`
	Oven        TemperatureLimit `expr:"oven"`
	Housing     TemperatureLimit `expr:"housing"`
	Leaves      Number           `expr:"leaves"`    // leaves allowed in one stack
	SideStack   Length           `expr:"min_stack"` // thinnest side stack
}

// LashFacts is the backlash as last read round the ring.
type LashFacts struct {
	Min       Length `expr:"min"`
	Max       Length `expr:"max"`
	Mean      Length `expr:"mean"`
	Spread    Length `expr:"spread"` // derived from Min and Max where unset
	Count     Number `expr:"count"`  // positions read
	Identical Word   `expr:"identical"`
	Previous  Length `expr:"previous"` // mean of the reading before
	Expected  Length `expr:"expected"` // mean predicted for the moves made since then
	Old       Length `expr:"old"`      // as found, before teardown (mean)
	Final     Word   `expr:"final"`    // yes where read on the final assembly
}

// FlankFacts is the pattern of one flank.
type FlankFacts struct {
	Along  Word `expr:"along"`  // toe, center, heel
	Across Word `expr:"across"` // face, center, flank
	Edge   Word `expr:"edge"`   // yes where it runs off the tooth or onto the top land
}

// PatternFacts is the contact pattern as last read.
type PatternFacts struct {
	Drive FlankFacts `expr:"drive"`
	Coast FlankFacts `expr:"coast"`
	Final Word       `expr:"final"` // yes where a pattern on the final bearings is on record
	Ends  Word       `expr:"ends"`  // derived: same where drive and coast lie at the same end, opposite, center
}

// DragFacts is rotating torque as last read.
type DragFacts struct {
	Pinion   Torque `expr:"pinion"`
	Previous Torque `expr:"previous"` // pinion drag read before this one, same sleeve
	Total    Torque `expr:"total"`
	Added    Torque `expr:"added"` // derived: total − pinion
	Seal     Word   `expr:"seal"`  // on, off (pinion drag)
	Bearings Word   `expr:"bearings"`
	Final    Word   `expr:"final"`     // yes on the final pinion assembly
	NutTried Torque `expr:"nut_tried"` // highest torque put on the pinion nut
	Crushing Word   `expr:"crushing"`  // no where the sleeve does not yield
}

// SleeveFacts is the crush sleeve.
type SleeveFacts struct {
	Is Word `expr:"is"` // new, crushed, over, backed-off, reused
}

// BearingFacts are the pinion and carrier bearings.
type BearingFacts struct {
	Fitted      Word   `expr:"fitted"` // setup, final
	SetupHeight Length `expr:"setup_height"`
	FinalHeight Length `expr:"final_height"`
	Taller      Length `expr:"taller"`      // derived: final − setup stand height
	Compensated Word   `expr:"compensated"` // yes where the final shim allows for Taller
	Seated      Word   `expr:"seated"`
}

// CarrierFacts is the carrier and its caps.
type CarrierFacts struct {
	CapsTorqued Word   `expr:"caps_torqued"`
	CapsMarked  Word   `expr:"caps_marked"`
	CapsOwn     Word   `expr:"caps_own"` // yes: each on its own side, the same way round
	Locked      Word   `expr:"locked"`   // adjuster locks fitted
	EndPlay     Length `expr:"end_play"`
	Preload     Length `expr:"preload"`
	CaseSpread  Length `expr:"case_spread"`
	Final       Word   `expr:"final"` // yes on the final carrier assembly
}

// RingFacts is the ring gear on its carrier.
type RingFacts struct {
	Runout     Length `expr:"runout"`
	Teeth      Number `expr:"teeth"`
	Match      Word   `expr:"match"` // match number as etched
	BoltsNew   Word   `expr:"bolts_new"`
	BoltsTight Word   `expr:"bolts_tight"` // torqued
	Locker     Word   `expr:"locker"`      // thread locker used
}

// PinionFacts is the pinion.
type PinionFacts struct {
	Teeth   Number `expr:"teeth"`
	Match   Word   `expr:"match"`
	Slinger Word   `expr:"slinger"` // yes: baffle, slinger and spacers are in the stack
	NutNew  Word   `expr:"nut_new"`
	SealNew Word   `expr:"seal_new"`
	Ratio   Number `expr:"ratio"`   // derived: ring teeth ÷ pinion teeth
	Ordered Number `expr:"ordered"` // the ratio that was ordered
}

// MoveFacts is what was changed since the last backlash and pattern reading, or
// is being proposed. Pinion is positive deeper; Ring is positive towards the
// pinion; Pack is the change of the pinion preload pack, positive thicker.
type MoveFacts struct {
	Pinion  Length `expr:"pinion"`
	Depth   Length `expr:"depth_shim"` // change of the depth shim, positive thicker
	Ring    Length `expr:"ring"`
	Pack    Length `expr:"pack"`
	Preload Length `expr:"preload"` // both side stacks together, positive more
	Count   Number `expr:"count"`   // moves since the last reading
}

// ShimFacts are the stacks.
type ShimFacts struct {
	Left     Length `expr:"left"`
	Right    Length `expr:"right"`
	Pinion   Length `expr:"pinion"`
	Leaves   Number `expr:"leaves"`   // most leaves in one stack
	Measured Word   `expr:"measured"` // every leaf measured
	Labelled Word   `expr:"labelled"` // kept apart and labelled
}

// TempFacts are temperatures.
type TempFacts struct {
	Ring    Temperature `expr:"ring"` // ring gear, or the oven it is heated in
	Bearing Temperature `expr:"bearing"`
	Housing Temperature `expr:"housing"`
	Before  Temperature `expr:"before"` // housing, one report earlier
	Minutes Number      `expr:"minutes"`
	Rising  Difference  `expr:"rising"`    // derived: Housing − Before
	PinBrg  Temperature `expr:"pinion_at"` // housing at the pinion bearings
	CarBrg  Temperature `expr:"carrier_at"`
}

// FitFacts are parts that are warmed or chilled to go on.
type FitFacts struct {
	Heating  Word `expr:"heating"`  // yes while a part is warmed, or on and still warm
	Chilling Word `expr:"chilling"` // yes while a part is chilled
	By       Word `expr:"by"`       // what warms or chills it
	Struck   Word `expr:"struck"`   // yes where the ring gear or a bearing was knocked on
}

// OilFacts is the oil.
type OilFacts struct {
	Filled   Word `expr:"filled"`
	Modifier Word `expr:"modifier"` // friction modifier added
}

// BreakInFacts is the break-in.
type BreakInFacts struct {
	Distance Length `expr:"distance"` // driven since assembly
	Cooled   Number `expr:"cooled"`   // minutes of cooling after the last leg
	Cool     Number `expr:"cool"`     // minutes the plan asks for
	Running  Word   `expr:"running"`  // yes while the plan is not finished
}

// ReadingFacts is the reading of this message: what it names and its lowest and
// highest value, in the field that fits.
type ReadingFacts struct {
	What        Word        `expr:"what"` // backlash, pinion_drag, …
	Low         Length      `expr:"low"`
	High        Length      `expr:"high"`
	Torque      Torque      `expr:"torque"`
	Temperature Temperature `expr:"temperature"`
	Implausible Word        `expr:"implausible"` // yes where it was refused as physically impossible
}
