package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
)

// damage files what was found worn or broken.
func (t *turn) damage() error {
	for _, d := range t.u.Damage {
		if err := t.add(damaged{Part: d.Part, Sign: d.Sign, Text: clip(t.said.Text, 120)}); err != nil {
			return err
		}
		t.understood = append(t.understood, t.text("damage.noted", "part", t.damagePart(d.Part), "sign", t.damageSign(d.Sign)))
		if words := t.damageMeans(d); words != "" && !contains(t.answer, words) {
			t.tell(words)
		}
	}
	return nil
}

// damageMeans says what a finding asks for, nothing where it is only noted.
func (t *turn) damageMeans(d listen.Damaged) string {
	switch {
	case (d.Sign == listen.SignBlued || d.Sign == listen.SignBurnt) && (d.Part == listen.DamageRing || d.Part == listen.DamagePinion):
		return t.text("damage.blued_gear")
	case d.Sign == listen.SignBlued || d.Sign == listen.SignBurnt:
		return t.text("damage.blued_bearing")
	case (d.Part == listen.DamageRing || d.Part == listen.DamagePinion) && (d.Sign == listen.SignChipped || d.Sign == listen.SignCracked || d.Sign == listen.SignBroken):
		return t.text("damage.broken_gear")
	case d.Part == listen.DamageRing || d.Part == listen.DamagePinion:
		return t.text("damage.worn_gear")
	case d.Part == listen.DamageHousing || d.Part == listen.DamageCarrier || d.Part == listen.DamageCap:
		return t.text("damage.housing")
	case d.Part == listen.DamageAxle:
		return t.text("damage.axle")
	case strings.Contains(d.Part, "bearing"):
		return t.text("damage.bearing")
	}
	return ""
}

// damagePart names a part in the person's language.
func (t *turn) damagePart(id string) string {
	switch id {
	case listen.DamagePinion:
		return t.text("damage.part_pinion")
	case listen.DamageRing:
		return t.text("damage.part_ring")
	case listen.DamageHead:
		return t.text("damage.part_head_bearing")
	case listen.DamageTail:
		return t.text("damage.part_tail_bearing")
	case listen.DamagePinionBrgs:
		return t.text("damage.part_pinion_bearings")
	case listen.DamageSideBrgs:
		return t.text("damage.part_side_bearings")
	case listen.DamageBearing:
		return t.text("damage.part_bearing")
	case listen.DamageCarrier:
		return t.text("damage.part_carrier")
	case listen.DamageCap:
		return t.text("damage.part_cap")
	case listen.DamageHousing:
		return t.text("damage.part_housing")
	case listen.DamageSeal:
		return t.text("damage.part_seal")
	case listen.DamageYoke:
		return t.text("damage.part_yoke")
	case listen.DamageAxle:
		return t.text("damage.part_axle_shaft")
	case listen.DamageClutches:
		return t.text("damage.part_clutches")
	case listen.DamageSpiders:
		return t.text("damage.part_spider_gears")
	}
	return id
}

// damageSign names what was found of it.
func (t *turn) damageSign(id string) string {
	switch id {
	case listen.SignChipped:
		return t.text("damage.sign_chipped")
	case listen.SignCracked:
		return t.text("damage.sign_cracked")
	case listen.SignBroken:
		return t.text("damage.sign_broken")
	case listen.SignPitted:
		return t.text("damage.sign_pitted")
	case listen.SignScored:
		return t.text("damage.sign_scored")
	case listen.SignBlued:
		return t.text("damage.sign_blued")
	case listen.SignBurnt:
		return t.text("damage.sign_burnt")
	case listen.SignWorn:
		return t.text("damage.sign_worn")
	case listen.SignRusted:
		return t.text("damage.sign_rusted")
	case listen.SignDented:
		return t.text("damage.sign_dented")
	case listen.SignSpun:
		return t.text("damage.sign_spun")
	case listen.SignLeaking:
		return t.text("damage.sign_leaking")
	case listen.SignTorn:
		return t.text("damage.sign_torn")
	case listen.SignBent:
		return t.text("damage.sign_bent")
	}
	return id
}

// damageLines list what was found, for the customer and for the parts list.
func (t *turn) damageLines() []string {
	if len(t.job.Damage) == 0 {
		return []string{t.text("damage.none")}
	}
	var lines []string
	for _, d := range t.job.Damage {
		lines = append(lines, t.text("damage.line", "part", t.damagePart(d.Part), "sign", t.damageSign(d.Sign), "by", d.By, "day", t.voice.day(d.At)))
	}
	return lines
}
