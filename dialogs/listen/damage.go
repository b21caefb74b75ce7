package listen

import (
	"regexp"
	"strings"
)

// Parts that can be found worn or broken.
const (
	DamagePinion     = "pinion"
	DamageRing       = "ring"
	DamageHead       = "head_bearing"
	DamageTail       = "tail_bearing"
	DamagePinionBrgs = "pinion_bearings"
	DamageSideBrgs   = "side_bearings"
	DamageBearing    = "bearing"
	DamageCarrier    = "carrier"
	DamageCap        = "cap"
	DamageHousing    = "housing"
	DamageSeal       = "seal"
	DamageYoke       = "yoke"
	DamageAxle       = "axle_shaft"
	DamageClutches   = "clutches"
	DamageSpiders    = "spider_gears"
)

// Signs of wear and damage.
const (
	SignChipped = "chipped"
	SignCracked = "cracked"
	SignBroken  = "broken"
	SignPitted  = "pitted"
	SignScored  = "scored"
	SignBlued   = "blued"
	SignBurnt   = "burnt"
	SignWorn    = "worn"
	SignRusted  = "rusted"
	SignDented  = "dented"
	SignSpun    = "spun"
	SignLeaking = "leaking"
	SignBent    = "bent"
	SignTorn    = "torn"
)

// damageWords are the words of each part, the longer ones first, and of each sign.
var (
	damageParts = []struct{ id, words string }{
		{DamageAxle, `axle shafts?|axleshafts?|half ?shafts?|semiejes?`},
		{DamageSpiders, `spider gears?|spiders|side gears?|cross ?pin|cross ?shaft`},
		{DamageClutches, `clutch(?:es| packs?| plates?)|lsd plates|frictions`},
		{DamageHead, `(?:pinion )?head bearings?|inner pinion bearings?|rear pinion bearings?|big pinion bearing|inner (?:race|cup|cone)`},
		{DamageTail, `tail bearings?|outer pinion bearings?|front pinion bearings?|small pinion bearing|outer (?:race|cup|cone)`},
		{DamagePinionBrgs, `pinion bearings?|pinion brgs?|pinion races?|pinion cups?`},
		{DamageSideBrgs, `(?:carrier|side|diff) (?:bearings?|brgs?|races?|cups?)`},
		{DamageBearing, `bearings?|brgs?|rollers?|races?|rodamientos?`},
		{DamageCap, `bearing caps?|caps?`},
		{DamageRing, `ring gear(?: teeth| tooth)?|ring(?: teeth| tooth)|crown ?wheel(?: teeth)?|the ring|ring|corona`},
		{DamagePinion, `pinion (?:teeth|tooth|gear|head|splines?)|pinion|piñon|pinon`},
		{DamageCarrier, `carrier|diff case|case half`},
		{DamageHousing, `housing|axle tube|tube|pumpkin|bore|bores`},
		{DamageSeal, `pinion seal|axle seals?|seals?`},
		{DamageYoke, `yoke|flange|companion flange`},
	}
	damageSigns = []struct{ id, words string }{
		{SignChipped, `chips?|chipped|chunks? out|chunks? missing|missing (?:a )?chunks?|spall(?:ed|ing|s)?|flak(?:ed|ing)|astillad[oa]s?`},
		{SignCracked, `cracks?|cracked|hairline|fisura(?:s|d[oa]s?)?`},
		{SignBroken, `broken|snapped|busted|sheared|missing (?:a )?tooth|missing teeth|lost a tooth|broke off|rot[oa]s?`},
		{SignPitted, `pits|pit|pitted|pitting|picad[oa]s?`},
		{SignScored, `scor(?:ed|ing|es)|gall(?:ed|ing)|scuff(?:ed|ing)|groove[ds]?|scratched|rayad[oa]s?`},
		{SignBlued, `blue|blued|bluing|blueing|heat marks?|heat tint|discolou?red|azulad[oa]s?`},
		{SignBurnt, `burnt|burned|cooked|roasted|fried|overheated|quemad[oa]s?`},
		{SignWorn, `worn(?: out)?|wear step|knife ?edged?|hooked|sloppy|gastad[oa]s?`},
		{SignRusted, `rust|rusty|rusted|corroded|oxidad[oa]s?`},
		{SignDented, `dent(?:ed|s)?|brinell?(?:ed|ing|s)?|dimpled`},
		{SignSpun, `spun|walked|turned in (?:the|its) bore`},
		{SignLeaking, `leak(?:s|ing|ed)?|weeping|seeping|wet`},
		{SignTorn, `torn|ripped|rasgad[oa]s?`},
		{SignBent, `bent|tweaked|egg ?shaped|oval|doblad[oa]s?`},
	}
	damagePattern = compileDamage()
	damageDenied  = regexp.MustCompile(`\b(?:no|not|never|without|zero|isnt|arent|wasnt|dont|if|sin|look(?:s)? for|check(?:ed|ing)? for|avoid|will|would|could|can|might|setup|new|(?:marking|gear) compound|blue (?:paint|compound|stuff|locker|threadlocker)|marking blue|engineers? blue|prussian blue|layout blue)\b|\?`)
)

type damageForm struct {
	part, sign string
	at         *regexp.Regexp
}

func compileDamage() []damageForm {
	var out []damageForm
	for _, p := range damageParts {
		for _, s := range damageSigns {
			out = append(out, damageForm{p.id, s.id, regexp.MustCompile(
				`\b(?:` + s.words + `)\s+(?:on |in |off |out of |from |at |of |the |a |one |two |some |old |both |its |en |de |el |la |los |las )*(?:` + p.words + `)\b|` +
					`\b(?:` + p.words + `)\s+(?:is |are |was |has |have |got |lip |look |looks |looked |with |a |an |all |bit |little |slightly |badly |very |real |some |kinda |has got |two |one |teeth |tooth )*(?:` + s.words + `)\b`)})
		}
	}
	return out
}

// findDamage gives what a message says was found worn or broken. A segment that
// denies, asks or plans says nothing.
func findDamage(plain string) []Damaged {
	var out []Damaged
	for _, segment := range strings.FieldsFunc(strings.ToLower(plain), func(r rune) bool { return strings.ContainsRune(".;,\n!", r) }) {
		if damageDenied.MatchString(segment) || !hasSign.MatchString(segment) {
			continue
		}
		rest := segment
		for _, f := range damagePattern {
			at := f.at.FindStringIndex(rest)
			if at == nil {
				continue
			}
			out = append(out, Damaged{Part: f.part, Sign: f.sign})
			rest = rest[:at[0]] + strings.Repeat("·", 1) + rest[at[1]:]
		}
	}
	return out
}

// hasSign is a quick look whether any sign is named at all.
var hasSign = func() *regexp.Regexp {
	var all []string
	for _, s := range damageSigns {
		all = append(all, s.words)
	}
	return regexp.MustCompile(`\b(?:` + strings.Join(all, "|") + `)\b`)
}()
