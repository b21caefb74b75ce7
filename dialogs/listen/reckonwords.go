package listen

import (
	"slices"
	"strings"
)

// reckonClass is a meaning that some words share.
type reckonClass uint8

const (
	rTorque reckonClass = iota
	rClamp
	rDry
	rLubed
	rZinc
	rExtension
	rWrench
	rCord
	rScale
	rPull
	rRadius
	rDiameter
	rThick
	rPinion
	rTotal
	rCarrier
	rRatio
	rDrag
	rPack
	rSleeve
	rNut
	rWant
	rHeat
	rCold
	rRing
	rBearing
	rClearance
	rInterference
	rGrow
	rCool
	rTouch
	rEngine
	rRevs
	rMile
	rSpeed
	rSpeedometer
	rTyre
	rTall
	rHunting
	rShaft
	rWheel
	rNew
	rUsed
	rSeal
	rOff
	rBoth
	rSplit
	rChange
	rEffective
	rRegear
	rOverdrive
	rSupposes
	rAsks
	rSquare
	rBack
	rFit
	rSide
)

// reckonWords are the words of a class. Words of six letters and more are also
// known with a letter wrong, lost, added or two changed about.
var reckonWords = map[reckonClass]string{
	rTorque:       `torque torqe tourque tq torqued torquing tighten tight apriete par apriete aprieta`,
	rClamp:        `clamp clamping clampload proof preload stretch tension`,
	rDry:          `dry plain unlubed seco`,
	rLubed:        `lubed lube lubricated oiled oil oily greased grease wet antiseize lubricant aceitado lubricado lubricada aceite engrasado`,
	rZinc:         `zinc plated zinced galv galvanized galvanised`,
	rExtension:    `claw alargue alargador alargadera pata extensión extension extensions ext extention crowfoot crowsfoot crow crows adapter adaptor dogbone extender prolongador prolongadores crowsfeet crowfeet`,
	rWrench:       `wrench wrenches handle bar stick llave llaves mango`,
	rCord:         `string cord rope twine cuerda cordel hilo`,
	rScale:        `scale scales spring fish fishscale balance dinamometro balanza romana`,
	rPull:         `pull pulls pulling pulled`,
	rRadius:       `radius radii rad arm radio`,
	rDiameter:     `diameter dia diam across od bore id diametro`,
	rThick:        `thick thickness fat`,
	rPinion:       `pinion pin pinon`,
	rTotal:        `total overall combined tot altogether`,
	rCarrier:      `carrier diff side sides portacorona`,
	rRatio:        `ratio ratios gears gear geared gearing diffs relacion`,
	rDrag:         `drag preload rotating turning`,
	rPack:         `pack shim shims spacer`,
	rSleeve:       `sleeve crush collapsible crusher`,
	rNut:          `nut`,
	rWant:         `want wants wanted need needs target goal aiming after shooting spec range get reach supposed`,
	rHeat:         `hot heat heated heating warm oven bake baked torch temp temperature degrees hotplate boil cook cooked horno caliente calentar caliento calienta temperatura grados`,
	rCold:         `cold chill chilled chilling freeze freezer frozen freezing ice dryice nitrogen ln2 shrink`,
	rRing:         `ring crownwheel crown corona coronas`,
	rBearing:      `bearing bearings brg brgs cone race rodamiento rodamientos cojinete`,
	rClearance:    `clearance clear clr gap room play slack slop loose holgura juego`,
	rInterference: `interference press pressfit crush tight`,
	rGrow:         `grow grows growth expand expands expansion bigger swell swells larger`,
	rCool:         `cool cools cooled cooling enfriar enfria enfriarse enfríe enfrie`,
	rTouch:        `touch touched touchable handle hold bare hands hand barehanded tocar toco manos`,
	rEngine:       `rpm rpms tach tacho engine motor revs rev revving revving turning turn turns spin cruise cruising revoluciones vueltas`,
	rRevs:         `rev revs revolutions turns rotations vueltas`,
	rMile:         `mile miles mi km kilometer kilometre milla millas`,
	rSpeed:        `speed fast mph kmh kph`,
	rSpeedometer:  `speedo speedos speedometer speedometers spedo odometer odo spedometer velocimetro cuentakilometros`,
	rTyre:         `tire tires tyre tyres rubber meats tyer tiers llanta llantas neumatico neumaticos goma gomas`,
	rTall:         `tall height high diameter big size`,
	rHunting:      `hunting hunter hunts hunt nonhunting timed timing gcd marcas`,
	rShaft:        `driveshaft shaft propshaft prop yoke flange driveline`,
	rWheel:        `wheel wheels tire tyre hub drum`,
	rNew:          `new fresh brandnew`,
	rUsed:         `used old reused worn secondhand`,
	rSeal:         `seal seals`,
	rOff:          `no without off wo out noseal`,
	rBoth:         `both each sides either`,
	rSplit:        `split divide share half halves`,
	rChange:       `from to going went go switching switch swap swapping swapped change changing changed was now new old vs versus`,
	rEffective:    `effective equivalent feel feels like acts act same`,
	rRegear:       `regear regearing back restore stock original`,
	rOverdrive:    `overdrive od`,
	rSupposes:     `can could should would ok okay safe if too may might allowed alright fine puedo thinking shall will`,
	rAsks:         `what whats wat wats wut how hows which que cuanto cuantos cual much many calc calculate figure cuanta cuantas`,
	rSquare:       `square sideways right perpendicular ninety 90`,
	rBack:         `back backward backwards behind reversed`,
	rFit:          `drop drops slip slips slide slides fit fits goes go install fall falls`,
	rSide:         `side sides carrier`,
}

var reckonSets = func() map[reckonClass][]string {
	m := map[reckonClass][]string{}
	for c, words := range reckonWords {
		m[c] = strings.Fields(words)
	}
	return m
}()

// is says whether a lot is a word of one of the classes.
func (l lot) is(classes ...reckonClass) bool {
	if l.kind != wordLot {
		return false
	}
	w := strings.TrimSuffix(strings.ReplaceAll(l.text, "'", ""), "'s")
	for _, c := range classes {
		if slices.Contains(reckonSets[c], w) {
			return true
		}
		for _, meant := range reckonSets[c] {
			if len(meant) >= 6 && len(w) >= 5 && oneSlip(w, meant) {
				return true
			}
		}
	}
	return false
}

// oneSlip says whether a word is another with one letter wrong, lost, added, or two
// neighbours changed about. The first letter counts.
func oneSlip(word, meant string) bool {
	if word == "" || word[0] != meant[0] || len(word)-len(meant) > 1 || len(meant)-len(word) > 1 {
		return false
	}
	i := 0
	for i < len(word) && i < len(meant) && word[i] == meant[i] {
		i++
	}
	j := 0
	for j < len(word)-i && j < len(meant)-i && word[len(word)-1-j] == meant[len(meant)-1-j] {
		j++
	}
	a, b := word[i:len(word)-j], meant[i:len(meant)-j]
	return len(a) <= 1 && len(b) <= 1 || len(a) == 2 && len(b) == 2 && a[0] == b[1] && a[1] == b[0]
}

// has says whether the note has a word of one of the classes.
func (n *note) has(classes ...reckonClass) bool {
	return slices.ContainsFunc(n.lots, func(l lot) bool { return l.is(classes...) })
}

// says whether the note has a run of plain words.
func (n *note) says(phrases ...string) bool {
	for _, p := range phrases {
		want := strings.Fields(p)
		for i := 0; i+len(want) <= len(n.lots); i++ {
			k := 0
			for k < len(want) && strings.ReplaceAll(n.lots[i+k].text, "'", "") == want[k] {
				k++
			}
			if k == len(want) {
				return true
			}
		}
	}
	return false
}

// asks says whether the note asks: by mood, a question mark, a word of asking, or
// because it begins as questions do.
func (n *note) asks() bool {
	return n.asking || n.mark || n.has(rAsks) || len(n.lots) > 0 && slices.Contains(questionStarts, n.lots[0].text)
}

var questionStarts = strings.Fields(`is are can could should do does will would am may puedo debo`)

// supposes says whether the note asks before the deed.
func (n *note) supposes() bool { return n.has(rSupposes) || n.says("how hot") }

// kinds gives the lots of a kind.
func (n *note) kinds(k lotKind) []lot {
	var out []lot
	for _, l := range n.lots {
		if l.kind == k {
			out = append(out, l)
		}
	}
	return out
}

// in gives the numbers with one of the units.
func (n *note) in(units ...string) []lot {
	var out []lot
	for _, l := range n.lots {
		if l.kind == numberLot && slices.Contains(units, l.unit) {
			out = append(out, l)
		}
	}
	return out
}

// near gives the number among the choices that stands nearest to a word of the
// classes, and how many lots away; those in taken are left out. A word behind a
// number counts as nearer than one before it: "2 in extension".
func (n *note) near(choices []lot, taken map[int]bool, classes ...reckonClass) (*lot, int) {
	best, far := -1, 1<<30
	for i := range choices {
		if taken[choices[i].at] {
			continue
		}
		for k, l := range n.lots {
			if !l.is(classes...) {
				continue
			}
			d := 3 * (choices[i].at - k)
			if d < 0 {
				d = -d - 1
			}
			if d < far {
				best, far = i, d
			}
		}
	}
	if best < 0 {
		return nil, 0
	}
	return &choices[best], far / 3
}

func first(all []lot) *lot {
	if len(all) == 0 {
		return nil
	}
	return &all[0]
}
