package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// factKeys gives the phrase of each fact.
func factKeys() map[string]string {
	return map[string]string{
		listen.FactCapsTorqued:        "fact.caps_torqued",
		listen.FactCapsMarked:         "fact.caps_marked",
		listen.FactRingBoltsTorqued:   "fact.ring_bolts_torqued",
		listen.FactThreadlocker:       "fact.threadlocker_used",
		listen.FactNutTorqued:         "fact.nut_torqued",
		listen.FactCoverTorqued:       "fact.cover_torqued",
		listen.FactBearingsSeated:     "fact.bearings_seated",
		listen.FactNewBearings:        "fact.new_bearings",
		listen.FactUsedBearings:       "fact.used_bearings",
		listen.FactNewSleeve:          "fact.new_sleeve",
		listen.FactNewNut:             "fact.new_nut",
		listen.FactNewRingBolts:       "fact.new_ring_bolts",
		listen.FactSealFitted:         "fact.seal_fitted",
		listen.FactNoSeal:             "fact.no_seal",
		listen.FactSetupBearingsIn:    "fact.setup_bearings_fitted",
		listen.FactSetupBearingsOut:   "fact.setup_bearings_removed",
		listen.FactFinalBearingsIn:    "fact.final_bearings_fitted",
		listen.FactAdjusterLock:       "fact.adjuster_lock_fitted",
		listen.FactRunoutChecked:      "fact.runout_checked",
		listen.FactDialZeroed:         "fact.dial_zeroed",
		listen.FactPhoto:              "fact.photo_attached",
		listen.FactPatternSkipped:     "fact.pattern_skipped",
		listen.FactPatternTaken:       "fact.pattern_taken",
		listen.FactNumbersAgree:       "fact.match_numbers_agree",
		listen.FactNumbersDiffer:      "fact.match_numbers_differ",
		listen.FactGearSetNew:         "fact.gear_set_new",
		listen.FactGearSetUsed:        "fact.gear_set_used",
		listen.FactMilled:             "fact.face_milled",
		listen.FactHobbed:             "fact.face_hobbed",
		listen.FactHighPinion:         "fact.high_pinion",
		listen.FactReverseCut:         "fact.reverse_cut",
		listen.FactRingLeft:           "fact.ring_on_left",
		listen.FactRingRight:          "fact.ring_on_right",
		listen.FactSlingerFitted:      "fact.slinger_fitted",
		listen.FactSleeveCrushStarted: "fact.crush_started",
		listen.FactOilFilled:          "fact.oil_filled",
		listen.FactModifierAdded:      "fact.modifier_added",
		listen.FactOilChanged:         "fact.oil_changed",
		listen.FactCoverOn:            "fact.cover_on",
		listen.FactAxlesIn:            "fact.axles_in",
		listen.FactAxlesOut:           "fact.axles_out",
		listen.FactQuiet:              "fact.no_noise",
		listen.FactNoise:              "fact.noise",
		listen.FactNoiseDrive:         "fact.noise_on_drive",
		listen.FactNoiseCoast:         "fact.noise_on_coast",
		listen.FactNoiseFloat:         "fact.noise_on_float",
		listen.FactLegDone:            "fact.leg_done",
		listen.FactCooled:             "fact.cooled",
		listen.FactWhyNoise:           "fact.opened_for_noise",
		listen.FactWhyLeak:            "fact.opened_for_leak",
		listen.FactWhyRatio:           "fact.opened_for_ratio",
		listen.FactWhyBearing:         "fact.opened_for_bearing",
		listen.FactWashed:             "fact.washed",
		listen.FactPlusFarther:        "fact.plus_means_farther",
		listen.FactPlusNearer:         "fact.plus_means_nearer",
		listen.FactPlusThicker:        "fact.plus_means_thicker_shim",
		listen.FactPlusThinner:        "fact.plus_means_thinner_shim",
		listen.FactSmoothNoEndPlay:    "fact.no_end_play",
		listen.FactMagnetClean:        "fact.magnet_clean",
		listen.FactAxlesRetained:      "fact.axles_retained",
		listen.FactVentClear:          "fact.vent_clear",
		listen.FactShimsLabelled:      "fact.shims_labelled",
		listen.FactCapsOwnSides:       "fact.caps_on_own_sides",
		listen.FactLeavesMeasured:     "fact.leaves_measured",
	}
}

// factWords says a fact in a language.
func factWords(words phrase.Speaker, id string) string {
	if key, ok := factKeys()[id]; ok {
		return words.Say(key)
	}
	return strings.ReplaceAll(id, "_", " ")
}
