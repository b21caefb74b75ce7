package dialogs_test

import (
	"reflect"
	"sort"
	"testing"

	"shimwright/rules"
)

// seen notes every fact that was ever filled while it judges as the shop does.
type seen struct {
	rules interface {
		Evaluate(rules.Facts) []rules.Finding
	}
	filled map[string]bool
}

func (s seen) Evaluate(f rules.Facts) []rules.Finding {
	note(reflect.ValueOf(f), "", s.filled)
	return s.rules.Evaluate(f)
}

// note walks the facts by their names in conditions.
func note(v reflect.Value, path string, filled map[string]bool) {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name := field.Tag.Get("expr")
		if name == "" || name == "-" {
			continue
		}
		if path != "" {
			name = path + "." + name
		}
		inner := v.Field(i)
		if set := inner.FieldByName("Set"); inner.Kind() == reflect.Struct && set.IsValid() {
			if _, ok := filled[name]; !ok || set.Bool() {
				filled[name] = filled[name] || set.Bool()
			}
			continue
		}
		if inner.Kind() == reflect.Struct {
			note(inner, name, filled)
		}
	}
}

// Every fact a shop's rule can ask about is filled by some log, or stands here with
// the reason why it is not.
func TestEveryFactIsFilled(t *testing.T) {
	reasons := map[string]string{
		"phase":             "derived when the rules are evaluated",
		"lash.spread":       "derived when the rules are evaluated",
		"pattern.ends":      "derived when the rules are evaluated",
		"drag.added":        "derived when the rules are evaluated",
		"bearing.taller":    "derived when the rules are evaluated",
		"pinion.ratio":      "derived when the rules are evaluated",
		"temp.rising":       "derived when the rules are evaluated",
		"limit.drag.low":    "derived when the rules are evaluated",
		"limit.drag.high":   "derived when the rules are evaluated",
		"limit.oven.low":    "a heating limit has no lower end",
		"limit.housing.low": "a housing temperature limit has no lower end",
		"temp.minutes":      "how long lay between two reports of the housing is not asked",
		"move.count":        "moves are counted by what they add up to, not one by one",
	}
	filled := map[string]bool{}
	for _, sheet := range []string{"lapwing", "saltmarsh", "curlew"} {
		k := open(t, sheet)
		k.desk.Rules = seen{k.desk.Rules, filled}
		mm := sheet == "saltmarsh"
		pick := func(inch, metric string) string {
			if mm {
				return "ann> " + metric
			}
			return "ann> " + inch
		}
		k.play("ann> new", pick("lash 14 14 13 14", "lash 34 35 33 34"), "ann> drive toe and low off the edge", "ann> coast toe, low", "ann> caps marked", "ann> caps on their own sides",
			"ann> shims bagged and tagged", "ann> measured every leaf", "ann> carrier end play zero", "ann> bearings seated",
			pick("old pinion shim 20 + 10", "old pinion shim 0,85"), "ann> left 250 right 245", "ann> old mark 0, new mark 0", pick("old preload pack 60", "next"),
			"ann> ordered 3.73", "ann> yes", "ann> ring match number 417", "ann> pinion match number 417", "ann> yes", "ann> yes",
			"ann> done", "ann> carrier in the freezer", "ann> ring in the oven", "ann> had to knock the ring on", pick("ring at 200 f", "ring at 90 c"), "ann> ring bolts torqued with threadlocker, new ring bolts", pick("runout 1 thou", "runout 3 hundredths"),
			"ann> slinger in", "ann> on setup bearings", pick("left 240 + 10", "next"), pick("right 240 + 5", "next"), "ann> caps torqued",
			pick("lash 14 14 13 14", "lash 34 35 33 34"), "ann> drive heel, high", "ann> coast heel, high", "ann> done",
			pick("lash 8 8 8 9", "lash 0,20 0,20 0,21 0,20"), "ann> drive centered", "ann> coast centered",
			pick("setup bearing 1.235, final bearing 1.238", "setup bearing 31.40, final bearing 31.45"), "ann> same", "ann> final bearings pressed on", "ann> bearing heated with a torch", pick("bearing at 180 f", "bearing at 80 c"), "ann> new bearings",
			"ann> yes", "ann> same", "ann> seal in", pick("nut at 240 ft lb, drag 6", "nut at 320 nm, drag 0,6"), pick("drag 16", "drag 1,9"),
			"ann> same", "ann> same", pick("spread the case 11 thou", "next"), "ann> caps torqued", pick("total drag 22", "total drag 2,5"),
			"ann> no end play", pick("lash 8 8 8 9", "lash 0,20 0,20 0,21 0,20"), "ann> drive centered", "ann> coast centered", "mentor> approved", "ann> locks in",
			"ann> magnet clean", "ann> axles in, clips in", "ann> cover on", "ann> cover torqued", "ann> modifier added", "ann> same", "ann> oil filled", "ann> vent clear")
		for range 12 {
			k.play("ann> yes")
		}
		k.play("mentor> approved", "ann> yes", "ann> yes", "ann> yes", "ann> yes", "ann> yes", "ann> done", "ann> start break-in", "ann> off", pick("back, 10 miles, 185 at the pinion 160 at the carrier, no noise", "back, 16 km, 85 at the pinion 70 at the carrier, no noise"), pick("housing 170 now", "housing 75 now"),
			"ann> off", pick("back, 10 miles, 190 at the pinion 165 at the carrier, quiet", "back, 16 km, 88 at the pinion 72 at the carrier, quiet"),
			"ann> took 5 out of the right put it left", "ann> lash 900")
	}
	var missing []string
	for name, ok := range filled {
		if _, excused := reasons[name]; !ok && !excused {
			missing = append(missing, name)
		}
	}
	sort.Strings(missing)
	for _, name := range missing {
		t.Errorf("no log fills %s", name)
	}
}
