package listen

// tag is what a word or phrase stands for. The words of each tag stand in the
// tables below; to teach a new word, add it to its line.
type tag uint8

const (
	none   tag = iota
	figure     // a number or a group of numbers
	sign       // punctuation
	light      // small words that stand between a quantity and its number

	// quantities
	qBacklash
	qSpread
	qDrag
	qTotalDrag
	qBreakaway
	qPattern
	qShim
	qMark
	qDepth
	qChecking
	qHeight
	qRunout
	qTemp
	qDistance
	qDuration
	qNoise
	qTeeth
	qEndPlay
	qCarrierPreload
	qCaseSpread
	qAdjuster
	qMatch
	qTorque

	// places and parts
	pLeft
	pRight
	pBoth
	pRingSide
	pFarSide
	pPinion
	pRing
	pCarrier
	pStock
	pPack
	pCaps
	pRingBolts
	pNut
	pCover
	pSeal
	pSleeve
	pBearing
	pHead
	pTail
	pHousing
	pOil

	// contact pattern
	sDrive
	sCoast
	lToe
	lHeel
	lLength // lengthwise
	fFace
	fFlank
	fProfile // up and down
	fHigh
	fLow
	cCenter
	cPraise
	dSlight
	dStrong
	dEdge

	// which
	wOld
	wNew
	wSetup
	wFinal
	wBefore
	wWas // "was 12": what it read before, when something newer follows

	// verbs of moving
	vRemove
	vAdd
	vMove
	vSwap
	vTighten
	vLoosen
	vFrom
	vTo

	// other
	mMeasure // got, measured, reads
	mNow
	mNoise // whine, howl
	mApprox
	mInexact // under, over, almost: no exact figure
	mAll     // all round
	mSum     // total, altogether
)

// lexicon lists the words and phrases of each tag. Hyphens and apostrophes are
// left out: "set-up" is looked up as "set up", "didn't" as "didnt".
var lexicon = map[tag][]string{
	light: {
		"is", "was", "are", "were", "at", "of", "a", "an", "the", "'s", "be", "been", "being",
		"reads", "read", "shows", "showing", "says", "came", "comes", "come", "coming", "in", "out", "on", "up", "down",
		"got", "get", "getting", "gets", "has", "have", "had", "having", "i", "we", "im", "ive", "it", "its", "it's", "my", "our", "this", "that", "here", "there",
		"still", "now", "just", "only", "about", "roughly", "around", "approx", "approximately", "like", "maybe", "exactly", "dead", "right", "reading", "readings", "measured", "measures", "measuring", "measurement", "measurements", "mic'd", "miced", "mikes", "mic", "mics", "miked", "indicated", "indicates", "dial", "gauge", "indicator", "with", "for", "to", "so", "and", "then", "as", "all", "round", "around", "way", "every", "each", "spots", "places", "points", "positions", "teeth", "tooth", "ring", "gear", "sits", "sitting", "stands", "holding", "holds", "hold", "turning", "rotating", "steady", "consistent", "consistently", "across", "over", "under", "call", "calling", "equals", "shot", "checked", "check", "checks", "found", "today", "today's", "again", "afterwards", "after", "first", "went", "go", "goes", "gone", "dropped", "ended", "settled", "landed", "end", "side", "hot", "cold", "wet", "dry", "no", "and's", "es", "el", "de", "la", "con", "tengo", "da", "me", "por", "en", "by", "stamped", "etched", "marked", "painted", "written", "scribed", "tall", "high", "thick", "thickness", "size", "value", "figure", "number", "numbers", "figures", "thats", "theyre", "they", "them", "these", "those", "total", "rest", "same", "even", "nice", "good", "ok", "okay", "yep", "yeah", "yes", "well", "alright", "solid", "quick", "final", "finally", "fresh", "new", "old", "current", "currently", "recheck", "rechecked", "remeasured", "using", "string", "scale", "wrench", "beam", "mate", "boss", "bro", "man", "hey", "hi", "ok", "u", "ur", "btw", "update", "result", "results", "via", "off", "per", "between", "from",
		"where", "stuff", "both", "one", "ones", "torqued", "caps", "spun", "bearings", "seated", "zeroed", "set", "sets", "everything",
		"initial", "start", "starting", "started", "overall", "taken", "taking", "took", "note", "log", "logged", "record", "please", "pls", "plz", "put", "add", "enter", "save",
	},

	qBacklash: {
		"backlash", "lash", "bl", "b l", "blash", "bklash", "bcklash", "blsh", "backlashes", "lash reading", "lash readings", "backlash reading", "backlash readings", "rotational play", "free play at the ring", "play at the ring gear", "ring gear play", "gear lash", "gear play", "tooth play", "tooth clearance", "freeplay", "juego", "holgura", "slop at the ring", "play at the crown wheel", "crown wheel play", "mesh play",
	},
	qSpread:         {"backlash spread", "lash spread", "lash variation", "backlash variation", "lash varies", "backlash varies", "variation", "lash difference", "spread round the ring", "spread around the ring", "spread", "lash runs"},
	qDrag:           {"pinion drag", "pinion preload", "pinion bearing preload", "drag", "rotating torque", "turning torque", "rotational torque", "rotation torque", "running torque", "torque to turn", "torque to rotate", "pinion torque to rotate", "preload", "pinion rotating torque", "bearing preload", "rolling torque", "precarga", "pinion turning torque", "pinion bearing drag", "to rotate", "to turn it over", "to turn the pinion", "to turn it", "to turn", "to keep it moving", "to keep it turning", "to keep turning", "to spin it", "to rotate it", "to keep it going", "to keep going", "rolls at", "turns at", "rotates at", "spins at", "rolling drag", "rolling torque at", "turning", "rolling", "running", "while turning"},
	qTotalDrag:      {"total drag", "total preload", "total turning torque", "total rotating torque", "overall drag", "total torque to turn", "drag total", "total rotation torque", "total torque to rotate", "drag with carrier", "drag with the carrier in", "drag with carrier in", "combined drag", "final total drag", "full drag", "carrier in drag", "total rotational torque", "complete drag", "preload total", "drag overall", "total bearing preload"},
	qBreakaway:      {"breakaway", "breakaway torque", "break away", "break away torque", "starting torque", "breakaway drag", "stiction", "torque to break loose", "break it away", "break it loose", "breaks away", "breaks loose", "breaks free", "broke loose at", "breaks away at", "to break loose", "to break it", "get it moving", "to get it moving", "to get it turning", "to start it", "to start", "start it turning", "torque to start", "breakout torque"},
	qPattern:        {"pattern", "patterns", "contact", "contact patch", "contact pattern", "tooth contact", "marking", "wipe", "imprint", "print", "tooth marking", "mesh pattern", "gear pattern", "patron", "paint pattern", "marking compound", "patch", "marks show", "bearing pattern", "blue", "contact mark"},
	qShim:           {"shim", "shims", "stack", "stacks", "shim stack", "shim pack", "pack", "shim packs", "leaves", "leaf", "laina", "lainas", "spacer shim", "shim total", "shim thickness", "select shim", "packer", "packers", "shimstack", "depth shim", "depth stack", "head shim", "depth shims", "depth pack", "preload shim", "preload shims", "preload pack", "preload stack", "preload shim pack", "spacer pack", "tail shim", "tail shims", "outer shim", "outer shims", "solid spacer pack", "preload packers", "solid spacer", "preload spacer", "behind the head bearing", "under the head bearing", "under the inner race", "behind the pinion head", "behind the inner bearing", "under the head", "behind the head", "behind the pinion", "under the pinion", "underneath the pinion", "behind head bearing", "under head bearing", "behind the pinion bearing", "under the pinion bearing", "under the race", "under the cartridge", "behind the cartridge"},
	qMark:           {"pinion mark", "pinion marking", "head marking", "head mark", "pinion head mark", "pinion head marking", "pinion etching", "etching", "depth mark", "depth code", "depth marking", "pinion number", "pinion code", "pinion stamp", "pinion says", "pinion is marked", "pinion marked", "pinion stamped", "pinion etched", "pinion head is marked", "pinion head is stamped", "pinion head says", "pinion head reads", "mark", "marking", "markings", "marking on the pinion", "marked", "stamped", "etched", "painted on the pinion", "pinion reads", "marks"},
	qDepth:          {"pinion depth", "depth reading", "depth gauge", "depth gage", "depth measures", "measured depth", "depth", "mounting distance", "mount distance", "md", "pinion height", "pinion setting"},
	qChecking:       {"checking distance", "checking dimension", "check distance", "checking dist", "checking dim", "chk distance", "chk dist", "gauge block distance", "depth checking distance"},
	qHeight:         {"bearing height", "stand height", "bearing stand height", "standheight", "bearing stack height", "cone height", "bearing heights", "stand heights", "bearing measures", "bearing mics", "bearing stand", "height", "heights"},
	qRunout:         {"runout", "ring runout", "ring gear runout", "run out", "tir", "face runout", "backface runout", "back face runout", "wobble", "wobbles", "wobbling", "wobbled", "wobbles by", "ring gear run out", "total indicated runout", "out of true", "crown wheel runout", "ring gear wobble", "axial runout", "lateral runout", "runs true to", "runs true within", "true to", "true within", "runs out"},
	qTemp:           {"temperature", "temp", "temps", "heat gun", "ir gun", "temp gun", "gun", "gun says", "gun reads", "pyrometer", "temperatures", "degrees", "on the gun", "infrared", "heated to", "warmed to", "heated it to", "warmed it to", "heated it up to", "warmed it up to", "heated the ring to", "warmed the ring to", "heated her to", "baked to", "heated up to", "baked at", "warmed up to", "oven", "thermometer", "laser temp", "probe", "housing temp", "pinion temp", "case temp", "oil temp", "diff temp"},
	qDistance:       {"odo", "odometer", "mileage", "distance"},
	qNoise:          {"noise speed"},
	qTeeth:          {"tooth count", "teeth count", "tooth counts", "teeth", "tooth", "counted", "ring and pinion", "r and p", "r p", "crown and pinion", "gear set", "gearset", "crown wheel and pinion", "crownwheel and pinion", "gears are", "cwp", "count", "counts"},
	qEndPlay:        {"carrier end play", "end play", "endplay", "carrier play", "side play", "carrier endplay", "carrier bearing play", "end float", "endfloat", "carrier float", "bearing play", "sideplay", "carrier side play", "side to side play", "carrier end float", "carrier slop", "axial play"},
	qCarrierPreload: {"carrier preload", "side preload", "carrier bearing preload", "side bearing preload", "bearing preload on the carrier", "preload on the carrier", "diff bearing preload", "carrier bearing squeeze", "interference", "side bearing interference", "preload on the side bearings", "cb preload"},
	qCaseSpread:     {"case spread", "housing spread", "spread the case", "case spreader", "spread the housing", "case stretch", "spreader", "spreading the case", "spread case", "case spread to", "housing stretch", "spread it", "carrier housing spread"},
	qAdjuster:       {"adjuster", "adjusters", "adjuster nut", "adjuster nuts", "side adjuster", "side adjusters", "adjusting nut", "adjusting nuts", "threaded adjuster", "threaded adjusters", "adjuster ring", "adjuster rings", "spanner nut", "side nut", "side nuts", "bearing adjuster", "bearing adjusters", "adjustor", "adjustors", "carrier adjuster", "adj"},
	qMatch:          {"match number", "match nr", "match nrs", "match numbers", "matching number", "matching numbers", "match mark", "match marks", "set number", "mate number", "match no", "pair number", "serial on the ring", "matched set number", "set numbers", "matching marks", "mating number", "mating numbers", "match numbers are"},
	qTorque:         {"torque", "torqued", "torque to", "torqued to", "torqueing", "torquing", "tq", "clicked", "pulled to", "tightened to"},

	pLeft:      {"left", "lh", "left side", "lhs", "drivers", "driver side", "drivers side", "izquierda", "izq", "lt", "left hand", "left hand side", "lefthand", "port side", "near side", "nearside"},
	pRight:     {"right", "rh", "right side", "rhs", "passenger", "passenger side", "passengers side", "derecha", "der", "rt", "right hand", "right hand side", "righthand", "pass side", "off side", "offside"},
	pBoth:      {"both", "both sides", "each side", "either side", "both of them", "two sides", "drive and coast", "drive coast", "both drive and coast", "coast and drive", "ambos", "ambos lados", "both flanks", "both patterns", "left and right", "both stacks", "per side", "a side"},
	pRingSide:  {"ring side", "ring gear side", "gear side", "crown wheel side", "crownwheel side", "flange side", "behind the ring", "behind the ring gear", "back of the ring", "ring gear end", "ringside", "crown side", "back side of the ring"},
	pFarSide:   {"opposite side", "opposite the ring", "opposite ring side", "other side", "tooth side", "teeth side", "non ring side", "opposite ring gear side", "opposite ring gear", "far side", "side opposite the ring", "side opposite the ring gear", "away side", "opposite ring", "side away from the ring", "non ring gear side", "non gear side"},
	pPinion:    {"pinion", "pinion gear", "pinon", "depth shim", "depth stack", "head shim", "depth shims", "depth pack", "pinion head", "behind the head bearing", "under the head bearing", "under the inner race", "behind the pinion head", "behind the inner bearing", "under the head", "behind the head", "behind the pinion", "under the pinion", "from behind the pinion", "underneath the pinion", "behind head bearing", "under head bearing", "behind the pinion bearing", "under the pinion bearing", "under the race", "under the cartridge", "behind the cartridge"},
	pRing:      {"ring gear", "ring", "crown wheel", "crownwheel", "corona", "crown"},
	pCarrier:   {"carrier", "diff", "differential", "case", "diff case", "carrier assembly", "center section", "centre section"},
	pStock:     {"stock", "the drawer", "the box", "the kit", "the bench", "the shelf", "bench"},
	pPack:      {"preload shim", "preload shims", "preload pack", "preload stack", "preload shim pack", "spacer pack", "tail shim", "tail shims", "outer shim", "outer shims", "solid spacer", "solid spacer pack", "preload spacer", "preload packers"},
	pCaps:      {"caps", "cap", "cap bolts", "cap bolt", "bearing caps", "main caps", "bearing cap", "side caps", "carrier caps", "carrier cap", "cap bolts are"},
	pRingBolts: {"ring bolts", "ring gear bolts", "ring bolt", "ring gear bolt", "rg bolts", "crown wheel bolts", "crownwheel bolts", "ring gear to carrier bolts"},
	pNut:       {"pinion nut", "nut", "pinion flange nut", "yoke nut"},
	pCover:     {"cover", "cover bolts", "diff cover", "pan"},
	pSeal:      {"seal", "pinion seal"},
	pSleeve:    {"crush sleeve", "sleeve", "crush", "crush spacer", "collapsible spacer", "crush collar", "crush tube", "collapsible sleeve", "collapsible", "crushsleeve", "spacer"},
	pBearing:   {"bearing", "bearings", "setup bearing", "setup bearings", "set up bearing", "set up bearings", "final bearing", "final bearings", "dummy bearing", "slip fit bearing", "setup brg", "real bearing", "cone", "race", "cup", "rodamiento", "rodamientos"},
	pHead:      {"head", "heads", "head bearing", "inner bearing", "head bearings", "rear pinion bearing", "inner pinion bearing", "big bearing"},
	pTail:      {"tail bearing", "outer bearing", "front pinion bearing", "outer pinion bearing", "small bearing"},
	pHousing:   {"housing", "pumpkin", "axle", "axle housing", "rear end", "tube", "tubes"},
	pOil:       {"oil", "lube", "gear oil", "fluid", "aceite"},

	sDrive: {"drive", "drive side", "dr", "drv", "driveside", "drives", "power side", "drive flank", "accel side", "acceleration side", "pull side", "traction", "driving side", "on power", "convex", "convex side"},
	sCoast: {"coast", "coast side", "cst", "coastside", "coasts", "overrun", "over run", "decel side", "deceleration side", "decel", "coast flank", "coasting side", "concave", "concave side", "overrun side", "reverse side"},
	lToe:   {"toe", "toes", "toeward", "toewards", "toward toe", "inner end", "inside end", "small end", "inboard end", "toe end", "toe side", "toed", "toe ish", "inner edge", "toe heavy", "toey", "toeish", "inside of the tooth", "thin end", "punta", "inner end of the tooth", "inboard"},
	lHeel:  {"heel", "heels", "heelward", "heelwards", "outer end", "outside end", "big end", "outboard end", "heel end", "heel side", "large end", "heel ish", "outer edge", "heel heavy", "heely", "heelish", "outside of the tooth", "fat end", "thick end", "talon", "outer end of the tooth", "outboard"},
	lLength: {
		"lengthwise", "lengthways", "end to end", "heel to toe", "toe to heel", "heel toe", "toe heel", "between heel and toe", "between toe and heel", "in and out", "along the tooth", "along the length", "length wise", "in length", "on length", "for length", "down the length", "along the face", "heel and toe wise", "toe and heel wise", "longitudinally", "heel toe wise", "in the length", "lengthwise on the tooth", "inner to outer", "inside to outside", "mid length", "halfway along", "half way along", "midway along",
	},
	fFace:    {"face", "climbing", "tip", "tips", "crest", "addendum", "face side", "top of the tooth", "top of tooth", "near the top", "up top", "tooth tip", "toward the top", "up the tooth", "toward the crown", "towards the crown", "near the crown", "up on the crown", "top", "too shallow", "shallow", "peak"},
	fFlank:   {"flank", "root", "roots", "flanks", "dedendum", "bottom of the tooth", "valley", "near the root", "root ish", "rooty", "in the root", "base of the tooth", "bottom", "deep", "too deep", "base", "raiz", "rooted", "riding root", "flanky"},
	fProfile: {"up and down", "up down", "top to bottom", "root to face", "face to root", "profile", "profile wise", "face to flank", "flank to face", "root to tip", "tip to root", "between root and face", "between face and root", "bottom to top", "between top and bottom", "vertically", "height wise", "heightwise", "in depth", "depth wise", "depthwise", "on depth", "for depth", "in profile", "top and bottom", "root to top", "top to root", "between face and flank", "between flank and face", "between root and tip", "between tip and root", "between root and top", "between the root and the top", "crown to root", "root to crown", "on profile", "on height", "in height", "up and down wise", "face flank", "root and tip wise", "mid height", "mid depth", "mid profile", "centre height", "center height", "centered on height", "middle of the depth", "halfway up", "half way up", "mid way up", "midway up", "vertical", "between the face and the root", "between the root and the face", "between top and root", "face root"},
	fHigh:    {"high", "up high", "higher", "hi", "highish", "too high", "upper", "ridin high", "riding high", "alto", "alta"},
	fLow:     {"low", "down low", "lower", "lowish", "too low", "bajo", "baja"},
	cCenter:  {"centered", "centred", "center", "centre", "middle", "mid", "dead center", "dead centre", "central", "centralised", "centralized", "in the middle", "midway", "dead middle", "centrado", "centrada", "centerd", "centrd", "cntr", "ctr", "ctrd", "middled", "mid tooth", "midface", "mid face", "middle of the tooth", "middle of the face", "center of the tooth", "centre of the tooth", "smack in the middle", "smack middle", "even", "smack center", "mid height", "mid depth", "mid profile", "mid length", "centre height", "center height", "halfway up", "half way up", "mid way up", "midway up", "halfway along", "half way along", "midway along"},
	cPraise: {
		"dead nuts", "perfect", "spot on", "dead on", "bang on", "on the money", "beautiful", "gorgeous", "textbook", "sweet", "mint", "money", "ideal", "great", "excellent", "good", "fine", "nice", "lovely", "looks good", "nailed it", "nailed", "right on", "right where it should be", "right where we want it", "where it should be", "perfecto", "perfecta", "bueno", "bien", "chef's kiss", "picture perfect", "a bullseye", "bullseye", "bulls eye", "flawless", "happy", "on the button", "dialed", "dialed in", "dialled in", "looks great", "pretty", "ok", "okay", "looks right", "bob on", "brilliant", "schmick", "ace", "right in there", "where you want it", "golden", "dead set", "looks perfect", "as good as it gets", "cant fault", "no complaints", "cant complain", "nothing wrong with", "no issues with", "happy with", "sorted", "pukka", "ripper", "tidy", "on point", "awesome", "grand",
	},
	dSlight: {"little", "a little", "a bit", "bit", "hair", "a hair", "tad", "a tad", "touch", "a touch", "slightly", "slight", "just", "smidge", "smidgen", "kinda", "kind of", "somewhat", "a skosh", "skosh", "barely", "fraction", "a fraction", "un poco", "poco", "poquito", "un poquito", "ever so slightly", "smidgeon", "scooch", "a whisker", "whisker", "a gnats", "mildly", "wee", "a wee", "wee bit", "a wee bit"},
	dStrong: {"way", "very", "real", "really", "hard", "heavy", "heavily", "far", "lots", "a lot", "strong", "strongly", "too", "well", "bad", "badly", "super", "extremely", "muy", "all", "mostly", "seriously", "miles"},
	dEdge:   {"off the end", "off the edge", "running off", "runs off", "hanging off", "hangs off", "right on the edge", "at the edge", "on the edge", "edge contact", "top land", "edge loading", "edge loaded", "edge of the tooth", "off the tooth", "over the edge", "falling off", "falls off", "rolling off", "tip edge", "top edge", "the edge at the top", "touches the edge", "touching the edge", "off the heel", "off the toe", "edge loads", "off the tip", "very edge", "heel edge", "toe edge", "off the top", "extreme heel", "extreme toe", "off the face", "spilling off", "spills off", "hard edge", "line at the edge", "knife edge", "hitting the edge", "edge heel", "edge toe", "on edge"},

	wOld:    {"old", "original", "orig", "factory", "existing", "used", "previous", "prior", "removed", "was in it", "was in there", "that was in there", "that was in", "that came out", "that came off", "came out of it", "out of the old", "viejo", "vieja", "the one i took out", "old one", "oem", "original one"},
	wNew:    {"new", "replacement", "fresh", "nuevo", "nueva", "new one", "going in", "goes in", "going back in", "the replacement"},
	wSetup:  {"setup", "set up", "mock up", "mockup", "mock", "trial", "setup bearing", "setup bearings", "slip fit", "honed", "dummy", "setup brg", "set up bearing", "set up bearings", "slip fit bearing", "dummy bearing"},
	wFinal:  {"final", "finals", "final bearing", "final bearings", "final assembly", "pressed on", "final check", "for good", "final bearing is", "real bearing", "the real one", "real one", "real ones"},
	wBefore: {"before teardown", "came apart with", "came apart at", "came apart showing", "used to", "as found", "before it came apart", "before disassembly", "before i tore it down", "before tear down", "before i pulled it apart", "before we pulled it apart", "as it came in", "before pulling it apart", "at teardown", "before taking it apart", "before i took it apart", "before strip down", "before stripping", "before strip", "as received", "pre teardown", "before i touch it", "before i touched it", "before coming apart", "before anything came apart", "coming apart", "on the way out", "before i strip it", "before i pulled it", "before i pull it", "before we pulled it", "before pulling it", "before it was pulled", "before i tear it down", "before apart", "prior to teardown", "prior to disassembly", "before we tear it down", "before it comes apart", "before i stripped it", "as is", "pre tear down", "at strip down", "on teardown", "on strip down", "before removal", "on disassembly", "before pulling the carrier", "before i pulled the carrier", "found it at", "before i pull it apart", "before we took it apart", "before dismantling", "before we strip it", "as it sits before", "incoming"},

	vRemove:  {"took", "take", "pulled", "pull", "removed", "remove", "removing", "pulling", "taking", "lost", "dropped", "yanked", "subtracted", "cut", "knocked", "stole", "quite", "saque", "taken", "minus", "thinned", "nicked", "pinched", "robbed", "borrowed", "shaved", "skimmed", "grabbed", "snagged", "went down", "gone down", "stepped down", "reduced", "reduce", "lowered", "decreased", "slid out", "dumped", "ditched"},
	vAdd:     {"added", "add", "adding", "put", "putting", "stuck", "threw", "slipped", "stuffed", "installed", "fitted", "inserted", "placed", "gave", "puse", "agregue", "dropped in", "went up", "gone up", "had another", "going up", "bumped up", "stepped up", "increased", "increase", "raised", "upped", "thickened", "popped", "slid", "stacked", "tossed", "chucked", "bunged", "snuck", "sneaked", "tucked", "shimmed", "plus"},
	vMove:    {"moved", "move", "moving", "shifted", "shift", "shifting", "transferred", "swapped", "swap", "slid over", "kicked", "movi", "bumped", "walked", "scooted", "brought", "jumped", "traded"},
	vSwap:    {"replaced", "changed", "exchanged", "went from", "changed out", "swapped out", "subbed", "change", "going from", "went up from", "went down from"},
	vTighten: {"tightened", "tighten", "tightening", "ran in", "wound in", "screwed in", "turned in", "run in", "in", "snugged", "tightend", "wind in", "nipped up", "clockwise", "advanced", "done up", "did up", "chased", "followed", "followed up"},
	vLoosen:  {"loosened", "loosen", "loosening", "backed off", "backed out", "backed", "wound out", "unscrewed", "turned out", "out", "slackened", "slacked", "let off", "unwound", "undid", "counterclockwise", "wound off", "back off", "let out", "eased", "ran out", "backing off"},
	vFrom:    {"from", "out of", "off", "off of", "outta", "outa", "de"},
	vTo:      {"to", "into", "onto", "on", "over to", "→", "towards", "toward", "behind", "under", "a la", "en"},

	mMeasure: {"got", "measured", "reads", "reading", "getting", "read", "shows", "showing", "tengo", "measuring", "i get", "we got", "im at", "sitting at", "sits at", "seeing", "mics", "miked", "im getting", "came out at", "comes out at", "came in at"},
	mNow:     {"now", "currently", "at present", "presently", "ahora", "these days", "after that", "since then"},
	mNoise:   {"whine", "whines", "whining", "whined", "howled", "hummed", "growled", "droned", "rumbled", "moaned", "squealed", "howl", "howls", "howling", "hum", "hums", "humming", "growl", "growls", "growling", "noise", "noisy", "drone", "drones", "droning", "rumble", "rumbles", "rumbling", "singing", "sings", "moan", "moans", "roar", "roaring", "squeal", "moaning", "whistle", "whistling", "grumble", "grumbling", "whirr", "whir", "buzz", "buzzing", "clunk", "clunking", "grinding", "grinds", "vibration", "vibrates", "shudder", "chatter", "chattering", "screaming", "scream", "ruido", "zumbido"},
	mApprox:  {"about", "roughly", "approx", "approximately", "around", "circa", "ish", "give or take", "ballpark", "call it", "or so", "say", "close to", "near", "nearly"},
	mInexact: {"under", "over", "below", "above", "less than", "more than", "at least", "at most", "almost", "just shy of", "shy of", "north of", "south of", "up to", "no more than", "no less than", "greater than", "better than", "just under", "just over", "a hair under", "a hair over", "past", "exceeds", "not quite", "a bit over", "a bit under"},
	mAll:     {"all round", "all around", "all the way round", "all the way around", "everywhere", "right round", "every tooth", "every spot", "all four", "all over", "at every spot", "the whole way round", "each spot", "at all four", "every position", "all positions", "all spots", "at all spots", "each position", "at every position", "the whole way around", "all four spots", "at each spot", "on every tooth", "all the way", "in all spots", "at each position", "all four places", "all 4", "all 8", "all eight"},
	mSum:     {"total", "totals", "altogether", "all together", "sum", "for a total of", "all up", "all told", "all in", "in total", "combined", "adds up to", "makes", "equals", "comes to", "stacked together"},
}
