package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// closeUpStep puts back what keeps the axles and the oil in, and signs the torque
// list off.
func closeUpStep(s *rules.Sheet, j *Job) Step {
	st := Step{ID: StepCloseUp, Title: phrased("steps.close_up"), First: phrased("steps.close_up_first"), Fields: []Field{
		fact(listen.FactMagnetClean, Should, phrased("steps.magnet"), phrased("steps.magnet_ask"), phrased("steps.magnet_why")),
		fact(listen.FactAxlesRetained, Must, phrased("steps.axles"), phrased("steps.axles_ask"), phrased("steps.axles_why")),
		fact(listen.FactCoverOn, Must, phrased("steps.cover"), coverPrompt(s), phrased("steps.cover_why")),
	}}
	for _, f := range s.Torques {
		if drag := f.Name == nutName && s.Preload.By == rules.CrushSleeve; drag {
			continue // its torque is whatever the drag asked for
		}
		st.Fields = append(st.Fields, Field{
			Fastener: f.Name, Fasteners: factsOfFastener(f.Name), Options: yesOrNo(), Need: Must, What: listen.Torque, Name: axleText(f.Name),
			Prompt: phrased("steps.fastener_ask", "name", axleText(f.Name), "torque", fastenerTorque{f.Low, f.High}, "hand", handNote(f)),
			Why:    phrased("steps.fastener_why"),
		})
	}
	st.Fields = append(st.Fields,
		reading(OilFill, Must, phrased("steps.oil"), oilPrompt(s), phrased("steps.oil_why")))
	if s.Oil.Modifier {
		st.Fields = append(st.Fields, fact(listen.FactModifierAdded, Must, phrased("steps.modifier"), phrased("steps.modifier_ask"), phrased("steps.modifier_why")))
	}
	return Step{ID: st.ID, Title: st.Title, First: st.First, Fields: append(st.Fields,
		fact(listen.FactVentClear, Should, phrased("steps.vent"), phrased("steps.vent_ask"), phrased("steps.vent_why")))}
}

// coverPrompt asks what closes the housing: a cover, or on a drop-out axle the
// carrier housing itself.
func coverPrompt(s *rules.Sheet) Text {
	for _, f := range s.Torques {
		if strings.Contains(f.Name, "cover") {
			return phrased("steps.cover_ask")
		}
	}
	return phrased("steps.carrier_on_ask")
}

func oilPrompt(s *rules.Sheet) Text {
	if s.Oil.Litres == 0 {
		return phrased("steps.oil_ask")
	}
	return phrased("steps.oil_planned", "oil", s.Oil.Grade+" "+s.Oil.Service, "fill", oilQuantity(s.Oil.Litres))
}

// handNote warns of a left-hand thread before a wrench touches it.
func handNote(f rules.Fastener) Text {
	if f.Thread == rules.LeftHand {
		return phrased("steps.hand_left_note")
	}
	return Text{}
}
