package listen

// Danger is a hazard to a person or to the job that a message can name. Its ID
// is what Utterance.Cautions carries.
type Danger struct {
	ID    string
	Text  string // what to do, one line
	Level string // note, caution or stop
}

// The ids of the dangers, the values of Utterance.Cautions. Limits in figures
// that only the axle sheet knows (backlash range, drag range) are the rules'
// business; listen raises those of the physical kind and the plainly excessive.
const (
	DangerNutBackedOff    = "nut_backed_off"      // nut loosened on a crushed sleeve; the drag figure is void
	DangerOverCrushed     = "sleeve_over_crushed" // past the range
	DangerSleeveReused    = "sleeve_reused"       // old sleeve on final assembly
	DangerNoCrush         = "nut_torque_no_crush" // very high nut torque and nothing moves
	DangerNoLash          = "no_lash"             // zero or binding
	DangerLashLow         = "lash_below_minimum"  // far below any usual minimum
	DangerLashFarOut      = "lash_far_out"        // gross position error
	DangerSpread          = "lash_spread"         // spread over any usual limit
	DangerImplausible     = "implausible"         // outside physical limits; nothing was read
	DangerCapsLoose       = "caps_not_torqued"    // a reading with caps not torqued is void
	DangerRunout          = "ring_runout"
	DangerRingBolts       = "ring_bolts"      // loose, reused or without thread locker
	DangerLeftHandBolts   = "left_hand_bolts" // bolts that will not move
	DangerRingHot         = "ring_overheated"
	DangerCapsMixed       = "caps_mixed" // swapped or unmarked
	DangerCaseSpread      = "case_over_spread"
	DangerSetupBearings   = "setup_bearings_left_in"
	DangerMismatch        = "gear_set_mismatched"
	DangerSlinger         = "slinger_omitted" // slinger, baffle or spacer left out
	DangerPatternEdge     = "pattern_edge"    // contact at the edge of the tooth
	DangerNoPattern       = "closing_without_pattern"
	DangerTotalDrag       = "total_drag_high"
	DangerNoPreload       = "no_preload" // end play or no drag at the finish
	DangerAdjusterLock    = "adjuster_lock_missing"
	DangerHousingHot      = "housing_hot"
	DangerPinionHot       = "pinion_bearing_hot" // much hotter than the carrier's
	DangerSmoke           = "smoke"
	DangerGrowl           = "growl"
	DangerNoOil           = "run_without_oil"
	DangerChips           = "chips_in_oil"
	DangerTowing          = "towing_in_break_in"
	DangerSupport         = "vehicle_support"
	DangerRunningOnStands = "running_on_stands"
	DangerHands           = "hands_in_mesh"
	DangerAirSpun         = "air_spun_bearing"
	DangerStruck          = "bearing_struck" // hammered, drifted or pressed on the wrong race
	DangerPress           = "press_overload"
	DangerFire            = "flammable_near_heat"
	DangerBurn            = "burn"
	DangerLostPart        = "lost_part"
	DangerFabricated      = "fabricated_data"  // figures nobody measured
	DangerFalseApproval   = "false_approval"   // approval by someone who may not, or a claimed role
	DangerInjected        = "injected_text"    // text made to steer the program
	DangerFrost           = "frost_on_bearing" // chilled parts
	DangerNutReused       = "nut_reused"
	DangerShimsMixed      = "shims_mixed" // which shim came from where is not known
	DangerNotSeated       = "bearing_not_seated"
	DangerBrakeDust       = "brake_dust"
	DangerOilOnBrakes     = "oil_on_brakes"
	DangerBothAtOnce      = "depth_and_lash_at_once" // both corrected by large amounts in one step
)
