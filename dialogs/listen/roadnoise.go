package listen

import "slices"

// soundTable says what kind of sound a word is, the more telling ones first.
var soundTable = []struct {
	sound string
	when  trigger
}{
	{"chatter", compileTrigger(`chatter* | shudder* | judder* | groan* | stick slip | binding in turns`)},
	{"clunk", compileTrigger(`clunk* | clonk* | thunk* | clang* | knocks on take* | bangs | golpe*`)},
	{"click", compileTrigger(`click* | tick | ticks | ticking | tapping | clack* | tictac ! click off`)},
	{"growl", compileTrigger(`growl* | rumbl* | grind* | roar* | grumbl* | grunt* | gruñ* | ronron* | rough sound | rough noise | gravel*`)},
	{"howl", compileTrigger(`howl* | whine | whines | whining | whined | whiny | whin* | singing | sings | moan* | whistl* | squeal* | scream* | aull* | zumb* | chill*`)},
	{"hum", compileTrigger(`hum | hums | humming | drone | drones | droning | buzz*`)},
	{"", compileTrigger(`noise | noisy | noises | loud | sound* like | makes a sound | racket | ruido | makes a noise | hear something ! radio | music | stereo | exhaust | wind | compressor | dog | shop | fan | engine | tyre noise | tire noise | road noise`)},
}

// loadTable says under which load it is heard.
var loadTable = []struct {
	load string
	when trigger
}{
	{"drive", compileTrigger(`on drive | drive only | on the drive side | under power | accel* | on the gas | on throttle | on the throttle | under load | on power | pulling | with the throttle | throttle on | foot down | uphill | drive side | on the pull | acelerando | acelera* | drive # | in drive | when i pull | drive and coast`)},
	{"coast", compileTrigger(`coast | coasting | on coast | decel* | overrun | off throttle | off the throttle | lift off | lifting off | let off | letting off | off the gas | engine braking | downhill | slowing | slow down | foot off | backing off | i lift | when i let | retencion | soltando | drive and coast`)},
	{"float", compileTrigger(`float | floating | light throttle | steady speed | steady throttle | cruis* | constant speed | holding speed | feathering | neither drive nor coast | light load | steady | crucero`)},
	{"turn", compileTrigger(`turn | turns | turning | corner* | bend | bends | roundabout* | full lock | u turn | in a curve | curves | curve | swerv* | parking lot | left hander* | right hander* | hard left | hard right | on lefts | on rights | en curva* | girando | girar ! turns into | turns up | turned | by hand | per turn | turn the | turn it off | wheel turn* | per wheel | shaft turn* | each turn | every turn | a turn | turn of the`)},
	{"shift", compileTrigger(`taking up | take up | on and off the | on and off throttle | on and off gas | on off the | on / off | when i get on | tip in | into gear | in gear | into reverse | from a stop | at take off | on take off | taking off | pulling away | pull away | between drive and coast | changing load | load change* | drive to coast | drive to reverse | reverse to drive | into drive | reverse and drive | stabbing | letting the clutch | al arrancar`)},
	{"always", compileTrigger(`all the time | constant | constantly | always | everywhere | all loads | any load | whatever the load | no matter | both drive and coast | on both | all speeds | never stops | siempre | same on drive and coast | drive coast and float | regardless`)},
}

var (
	withSpeed  = compileTrigger(`with speed | with the speed | with road speed | follows speed | follows the speed | speeds up | faster with | gets faster | faster the | pitch rises | pitch goes | rises with | goes up with | higher with | with wheel speed | con la velocidad | follows road speed | speed not load | speed only | the faster | once per | per wheel | per turn | every turn | each turn | once a turn | wheel turn*`)
	faint      = compileTrigger(`slight* | a bit | a little | some | faint* | loud* | but | noisy | there | bad | heavy | un poco`)
	louderHere = compileTrigger(`louder | getting worse | gets worse | worse | growing | building up | more and more | peor`)
	noiseGone  = compileTrigger(`gone | not on | none on | quiet on | nothing on | no noise on | goes away | stops | disappears | goes quiet | not when | quiet when | quiet under | not under | silent on | fine on | ok on | desaparece | quiet off`)
)

// soundsOf gives the sound some words name: "" for none, "noise" for one of no kind.
func soundsOf(words []string) string {
	for _, s := range soundTable {
		if k, ok := s.when.first(words); ok && !deniedAt(words, k) {
			if s.sound == "" {
				return "noise"
			}
			return s.sound
		}
	}
	return ""
}

// deniedAt: "no howl", "not a hum", "without any whine".
func deniedAt(words []string, k int) bool {
	for i := max(0, k-3); i < k; i++ {
		switch words[i] {
		case "no", "not", "without", "never", "zero", "isnt", "wont", "doesnt", "didnt", "sin", "neither", "nor":
			return true
		}
	}
	return k+1 < len(words) && words[k+1] == "gone" || k+2 < len(words) && words[k+1] == "is" && words[k+2] == "gone"
}

// loadsOf gives the loads some words name.
func loadsOf(words []string) []string {
	var out []string
	for _, l := range loadTable {
		if l.when.inAny(words) {
			out = append(out, l.load)
		}
	}
	return out
}

// noise reads what a clause tells of a sound. The clauses after the one it is first
// heard in belong to it.
func (f *roadFinder) noise(i int) {
	w := f.clauses[i].words
	for len(w) > 0 {
		part := w
		if k := slices.Index(w, ","); k >= 0 {
			part, w = w[:k], w[k+1:]
		} else {
			w = nil
		}
		if len(part) > 0 {
			f.noisePart(i, part)
		}
	}
}

func (f *roadFinder) noisePart(i int, w []string) {
	n := f.out.Noise
	sound := soundsOf(w)
	asked := f.in.Asked == AskSound || f.in.Asked == AskLoad || f.in.Asked == AskSpeed
	if sound == "" && n == nil && !asked {
		switch loads := loadsOf(w); {
		case noiseGone.in(w):
			f.gone = loads
		case len(f.gone) > 0 && len(loads) > 0 && !slices.Equal(loads, f.gone) && faint.in(w):
			f.out.Noise, f.sounds = &Noise{Loads: loads, Not: f.gone}, i+1
		}
		return
	}
	if n == nil {
		n = &Noise{Not: f.gone}
	}
	if sound != "" && sound != "noise" && n.Sound == "" {
		n.Sound = sound
	}
	loads := loadsOf(w)
	if f.in.Asked == AskLoad && f.out.Noise == nil && len(loads) == 0 && sound == "" {
		loads = bareLoad(f.whole)
	}
	if slices.Contains(loads, "shift") {
		loads = []string{"shift"} // "on and off the gas" is no coasting
	}
	gone := noiseGone.in(w)
	for _, l := range loads {
		switch {
		case gone && sound == "":
			n.Not = appendOnce(n.Not, l)
		case !slices.Contains(n.Not, l):
			n.Loads = appendOnce(n.Loads, l)
		}
	}
	n.Speed = n.Speed || withSpeed.in(w)
	n.Louder = n.Louder || louderHere.in(w)
	if sound != "" || len(n.Loads)+len(n.Not) > 0 || n.Speed || n.Louder {
		f.out.Noise = n
		if f.sounds == 0 {
			f.sounds = i + 1
		}
	}
}

// bareLoad takes the answer to "on drive, coast, float or turning?".
func bareLoad(whole string) []string {
	switch whole {
	case "drive", "driving", "power", "gas", "throttle", "acelerando":
		return []string{"drive"}
	case "coast", "coasting", "overrun", "decel", "retencion":
		return []string{"coast"}
	case "both", "both of them", "drive coast", "los dos", "all", "all of them":
		return []string{"drive", "coast"}
	case "float", "cruise", "steady":
		return []string{"float"}
	case "turning", "turns", "corners", "cornering", "turn":
		return []string{"turn"}
	}
	return nil
}
