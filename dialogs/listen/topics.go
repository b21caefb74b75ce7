package listen

// Topics of a question, the values of Utterance.Topics. A question has at least
// one; TopicOther where none of the others fits. The first is the main one.
const (
	TopicWhatToChange = "what_to_change" // "what do I change", "which way", "how much do I pull": the next shim or adjuster move
	TopicNext         = "next"           // "what now": the next step of the job
	TopicStatus       = "status"         // "where are we"
	TopicWhy          = "why"            // "why left", "how come": the reason for the last advice
	TopicIsItOK       = "is_it_ok"       // "is that good", "can I live with 9": a judgement of the readings carried or Proposed
	TopicLimits       = "limits"         // "what's the spec for lash": the sheet's figures
	TopicConvert      = "convert"        // "what's 9 thou in mm"; the figure is in Proposed
	TopicGlossary     = "glossary"       // "what is toe": the meaning of a word; Command.Rest has the word
	TopicStartShim    = "start_shim"     // "what shim do I start with"
	TopicDirection    = "direction"      // "does thicker go deeper", "which side is left": signs and sides in general
	TopicPattern      = "pattern"        // "what does a heel pattern mean", "how do I read it"
	TopicBacklash     = "backlash_how"   // "how many places do I check lash", "where do I put the dial"
	TopicShims        = "shims"          // "what shims make 47", "what's in the right stack now"
	TopicPreload      = "preload"        // drag, crush sleeve, side preload in general
	TopicTorque       = "torque"         // "what do the caps get", "which way do they turn"
	TopicRatio        = "ratio"          // ratio, tooth counts, hunting, tyre size
	TopicHeat         = "heat"           // "how hot can the ring go"
	TopicOil          = "oil"            // type, quantity, modifier
	TopicBreakIn      = "break_in"       // "how far for the first drive"
	TopicHistory      = "history"        // "what was the right shim", "who changed it", earlier jobs
	TopicParts        = "parts"          // "what do I need", "new nut?": parts and tools
	TopicSafety       = "safety"         // "is it safe to"
	TopicPhoto        = "photo"          // "want a picture?", "which photo"
	TopicReview       = "review"         // "has anyone looked at it"
	TopicPrediction   = "prediction"     // "what will lash be after 5": the expected result of a move in Pending
	TopicUnderstood   = "understood"     // "what did you get", "did you log that"
	TopicTime         = "time"           // "how long does it cool"
	TopicOther        = "other"          // a question to the assistant none of these covers
)

// Facts are things stated without a number, the values of Utterance.Facts. Each
// is stated as done or true by the sender; a negated or planned one is not given
// ("caps are not torqued yet" is a caution or nothing, never FactCapsTorqued).
const (
	FactCapsTorqued        = "caps_torqued"
	FactCapsMarked         = "caps_marked" // marked for side and way up
	FactRingBoltsTorqued   = "ring_bolts_torqued"
	FactThreadlocker       = "threadlocker_used" // on the ring gear bolts
	FactNutTorqued         = "nut_torqued"
	FactCoverTorqued       = "cover_torqued"
	FactBearingsSeated     = "bearings_seated"
	FactNewBearings        = "new_bearings" // fitted or on hand: drag is judged as new
	FactUsedBearings       = "used_bearings"
	FactNewSleeve          = "new_sleeve" // a new crush sleeve is fitted
	FactNewNut             = "new_nut"
	FactNewRingBolts       = "new_ring_bolts"
	FactSealFitted         = "seal_fitted"
	FactNoSeal             = "no_seal"               // drag was read without the seal
	FactSetupBearingsIn    = "setup_bearings_fitted" // trial assembly
	FactSetupBearingsOut   = "setup_bearings_removed"
	FactFinalBearingsIn    = "final_bearings_fitted"
	FactAdjusterLock       = "adjuster_lock_fitted"
	FactRunoutChecked      = "runout_checked"
	FactDialZeroed         = "dial_zeroed"
	FactPhoto              = "photo_attached"  // the text speaks of a picture sent with it
	FactPatternSkipped     = "pattern_skipped" // comes with a caution
	FactPatternTaken       = "pattern_taken"   // marked and turned, result not said
	FactNumbersAgree       = "match_numbers_agree"
	FactNumbersDiffer      = "match_numbers_differ" // comes with a caution
	FactGearSetNew         = "gear_set_new"
	FactGearSetUsed        = "gear_set_used"
	FactMilled             = "face_milled" // tapered teeth, two-cut
	FactHobbed             = "face_hobbed" // uniform depth
	FactHighPinion         = "high_pinion"
	FactReverseCut         = "reverse_cut"
	FactRingLeft           = "ring_on_left"
	FactRingRight          = "ring_on_right"
	FactSlingerFitted      = "slinger_fitted" // slinger, baffle or spacer is back in
	FactSleeveCrushStarted = "crush_started"
	FactOilFilled          = "oil_filled"
	FactModifierAdded      = "modifier_added"
	FactOilChanged         = "oil_changed" // after break-in
	FactCoverOn            = "cover_on"
	FactAxlesIn            = "axles_in" // axles or brakes hang on the carrier: total drag is not clean
	FactAxlesOut           = "axles_out"
	FactQuiet              = "no_noise"       // break-in: quiet
	FactNoise              = "noise"          // break-in: whine, howl, growl without a speed
	FactNoiseDrive         = "noise_on_drive" // under power
	FactNoiseCoast         = "noise_on_coast"
	FactNoiseFloat         = "noise_on_float" // light throttle, neither
	FactLegDone            = "leg_done"       // a break-in drive is finished
	FactCooled             = "cooled"         // the cooling time is over
	FactWhyNoise           = "opened_for_noise"
	FactWhyLeak            = "opened_for_leak"
	FactWhyRatio           = "opened_for_ratio"
	FactWhyBearing         = "opened_for_bearing"
	FactWashed             = "washed"             // housing and parts are clean
	FactPlusFarther        = "plus_means_farther" // a plus on the pinion head stands for farther from the ring gear centre line
	FactPlusNearer         = "plus_means_nearer"
	FactPlusThicker        = "plus_means_thicker_shim"
	FactPlusThinner        = "plus_means_thinner_shim"
	FactSmoothNoEndPlay    = "no_end_play" // turns smoothly, nothing loose
	FactMagnetClean        = "magnet_clean"
	FactAxlesRetained      = "axles_retained" // clips, plates or flange bolts that hold the axle shafts
	FactVentClear          = "vent_clear"
	FactShimsLabelled      = "shims_labelled"
	FactCapsOwnSides       = "caps_on_own_sides"
	FactLeavesMeasured     = "leaves_measured"
)
