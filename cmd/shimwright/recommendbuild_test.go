package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
)

const practice = "common practice, no source"

// Builds that went wrong or that the housing and the kit stand in the way of:
// the stacks an answer names are those to stand there, from what really does.
func TestRecommendBuilds(t *testing.T) {
	const centred = `"drive": {"cell": 5}, "coast": {"cell": 5}`
	type near struct{ want, by float64 }
	for _, c := range []struct {
		name, sheet, input string
		verdict            string
		shims              map[string]near // in the unit given
		notches            map[string]near
		ring, pinion       near // mm
		says               string
		source             string
	}{
		{"shims on the wrong side", "lapwing", `{"attempts":[
			{"shims":{"pinion":0.030,"left":0.250,"right":0.250},"unit":"in","backlash":[0.014,0.014,0.014,0.014],` + centred + `},
			{"shims":{"pinion":0.030,"left":0.258,"right":0.242},"unit":"in","backlash":[0.020,0.020,0.0205,0.020],` + centred + `}]}`,
			"change", map[string]near{"left": {0.258, 0.0015}, "right": {0.242, 0.0015}, "pinion": {0.030, 0}}, nil, near{0.41, 0.06}, near{0, 0},
			"went to the wrong side. this goes from where the parts are now, with left 0.242 and right 0.258 in in there: mike both stacks", "derived: in the housing stand 0.242 and 0.258"},
		{"shims on the wrong side, read again", "lapwing", `{"attempts":[
			{"shims":{"pinion":0.030,"left":0.250,"right":0.250},"unit":"in","backlash":[0.014,0.014,0.014,0.014],` + centred + `},
			{"shims":{"pinion":0.030,"left":0.258,"right":0.242},"unit":"in","backlash":[0.020,0.020,0.0205,0.020],` + centred + `},
			{"shims":{"pinion":0.030,"left":0.258,"right":0.242},"unit":"in","backlash":[0.020,0.0205,0.0205,0.020],` + centred + `}]}`,
			"change", map[string]near{"left": {0.258, 0.0015}, "right": {0.242, 0.0015}}, nil, near{0.41, 0.06}, near{0, 0},
			"the last change went the other way", "derived: in the housing stand 0.242 and 0.258"},
		{"and put right", "lapwing", `{"attempts":[
			{"shims":{"pinion":0.030,"left":0.250,"right":0.250},"unit":"in","backlash":[0.014,0.014,0.014,0.014],` + centred + `},
			{"shims":{"pinion":0.030,"left":0.258,"right":0.242},"unit":"in","backlash":[0.020,0.020,0.0205,0.020],` + centred + `},
			{"shims":{"pinion":0.030,"left":0.258,"right":0.242},"unit":"in","backlash":[0.008,0.008,0.0085,0.008],` + centred + `}]}`,
			"good", map[string]near{"left": {0.258, 0}, "right": {0.242, 0}}, nil, near{}, near{}, "inside", practice},
		{"slipped and the pinion moved too", "lapwing", `{"attempts":[
			{"shims":{"pinion":0.04,"left":0.27,"right":0.248},"unit":"in","backlash":[0.0235,0.024,0.023,0.023],"drive":{"along":"center","across":"flank"},"coast":{"along":"heel","across":"center"}},
			{"shims":{"pinion":0.035,"left":0.29,"right":0.228},"unit":"in","backlash":[0.0395,0.039,0.0385,0.0385],"drive":{"along":"center","across":"center"},"coast":{"along":"heel","across":"center"}}]}`,
			"change", map[string]near{"left": {0.293, 0.005}, "right": {0.225, 0.005}}, nil, near{1.1, 0.15}, near{0, 0.13}, "in there", "derived: in the housing stand 0.250 and 0.268"},
		{"a pinion shim thinned for thickened", "lapwing", `{"attempts":[
			{"shims":{"pinion":0.030,"left":0.250,"right":0.250},"unit":"in","backlash":[0.012,0.012,0.012,0.012],"drive":{"along":0,"across":-0.2},"coast":{"along":0,"across":-0.2}},
			{"shims":{"pinion":0.038,"left":0.250,"right":0.250},"unit":"in","backlash":[0.0145,0.0145,0.0145,0.0145],"drive":{"along":0.1,"across":0.55},"coast":{"along":-0.1,"across":0.5}}]}`,
			"change", map[string]near{"pinion": {0.027, 0.003}}, nil, near{0.17, 0.1}, near{0.13, 0.08}, "mike the stack", "derived: in the housing stands 0.022"},
		{"a stack at its end", "dunlin", `{"attempts":[{"shims":{"pinion":1.28,"left":2.7,"right":2.4},"unit":"mm","backlash":[0.95,0.95,0.95,0.95],"drive":{"along":"heel","across":"face"},"coast":{"along":"center","across":"face"}}]}`,
			"change", map[string]near{"left": {2.0, 0.01}, "right": {3.1, 0.01}}, nil, near{0.7, 0.01}, near{0.1, 0.12}, "as far as its stacks allow", practice},
		{"a large lash", "lapwing", `{"attempts":[{"shims":{"pinion":0.030,"left":0.230,"right":0.270},"unit":"in","backlash":[0.036,0.036,0.036,0.036],` + centred + `}]}`,
			"", map[string]near{"pinion": {0.030, 0}}, nil, near{0.95, 0.15}, near{0, 0}, "", "0.7 of lash per unit, " + practice},
		{"a gross lash", "lapwing", `{"attempts":[{"shims":{"pinion":0.030,"left":0.230,"right":0.270},"unit":"in","backlash":[0.060,0.060,0.060,0.060],` + centred + `}]}`,
			"bracket", nil, nil, near{1.2, 0.06}, near{0, 0}, "each shim is on its side", practice},
		{"a gross lash on adjusters", "shingle-bank", `{"attempts":[{"shims":{"pinion":0.015},"notches":{"left":0,"right":0},"unit":"in","backlash":[0.0405,0.041,0.0415,0.041],"drive":{"cell":9},"coast":{"cell":9}}]}`,
			"bracket", nil, map[string]near{"left": {16, 2}, "right": {-16, 2}}, near{1.05, 0.15}, near{0, 0}, "adjusters are where they were counted", practice},
		{"just under gross", "shingle-bank", `{"attempts":[{"shims":{"pinion":0.015},"notches":{"left":0,"right":0},"unit":"in","backlash":[0.0385,0.039,0.0385,0.039],"drive":{"cell":9},"coast":{"cell":9}}]}`,
			"", nil, map[string]near{"left": {16, 2}, "right": {-16, 2}}, near{1.05, 0.15}, near{-0.1, 0.1}, "", practice},
		{"thinner than the kit", "dunlin", `{"attempts":[{"shims":{"pinion":1.13,"left":2.75,"right":2.35},"unit":"mm","backlash":[0.56,0.56,0.57,0.57],"drive":{"cell":5},"coast":{"cell":8}}]}`,
			"change", map[string]near{"pinion": {1.10, 0}}, nil, near{0.5, 0.1}, near{-0.03, 0}, "the thinnest in the kit is 1.10 mm", "the sheet's kit"},
		{"no lash read", "dunlin", `{"attempts":[{"shims":{"pinion":1.30,"left":2.55,"right":2.55},"unit":"mm","drive":{"cell":2},"coast":{"cell":2}}]}`,
			"bracket", map[string]near{"left": {2.55, 0}, "right": {2.55, 0}}, nil, near{}, near{}, "read it first", practice},
		{"both patterns centred", "curlew", `{"attempts":[{"shims":{"pinion":0.033,"left":0.070,"right":0.070},"unit":"in","backlash":[0.0135,0.0135,0.014,0.0135],` + centred + `}]}`,
			"change", map[string]near{"pinion": {0.033, 0}}, nil, near{0.2, 0.06}, near{}, "", practice},
		{"a used set without its old pattern", "lapwing", `{"used":{"unit":"in","backlash":0.012},"attempts":[{"shims":{"pinion":0.030},"unit":"in","backlash":[0.012,0.012,0.012,0.012],` + centred + `}]}`,
			"good", nil, nil, near{}, near{}, "its old pattern is not on record", practice},
	} {
		r := recommended(t, c.sheet, c.input)
		off := func(what string, got float64, n near) {
			if !(math.Abs(got-n.want) <= n.by+1e-6) {
				t.Errorf("%s: %s %g, want %g ± %g (%s): %s", c.name, what, got, n.want, n.by, c.source, r.Why)
			}
		}
		if c.verdict != "" && string(r.Verdict) != c.verdict || !strings.Contains(r.Why, c.says) {
			t.Errorf("%s: %s, %q; want %s with %q (%s)", c.name, r.Verdict, r.Why, c.verdict, c.says, c.source)
		}
		off("ring gear", r.RingMove, c.ring)
		off("pinion", r.PinionMove, c.pinion)
		for name, n := range c.shims {
			off(name, r.Shims[name], n)
		}
		for name, n := range c.notches {
			off(name+" notches", r.Notches[name], n)
		}
		in := attemptsJSON{}
		if err := json.Unmarshal([]byte(c.input), &in); err != nil {
			t.Fatal(err)
		}
		if s := in.Attempts[len(in.Attempts)-1].Shims; s["left"] != nil {
			off("left and right together", r.Shims["left"]+r.Shims["right"], near{*s["left"] + *s["right"], 1e-4})
		}
		for name, i := range map[string]intervalJSON{"mean": r.Predicted.Backlash, "tightest": r.Predicted.Tightest} {
			if !(i.Low < i.Mean && i.Mean < i.High) {
				t.Errorf("%s: predicts a %s lash of %+v", c.name, name, i)
			}
		}
		if d := r.Predicted.Drive; !(d.AlongLow < d.AlongHigh && d.AcrossLow < d.AcrossHigh) {
			t.Errorf("%s: predicts a drive pattern of %+v", c.name, d)
		}
	}
}

// The tightest point is below the mean by what the readings show.
func TestRecommendTightest(t *testing.T) {
	r := recommended(t, "lapwing", `{"attempts":[{"shims":{"pinion":0.030},"unit":"in","backlash":[0.0130,0.014,0.0150,0.014],"drive":{"cell":5},"coast":{"cell":5}}]}`)
	if d := r.Predicted.Backlash.Mean - r.Predicted.Tightest.Mean; !(d > 0.012 && d < 0.03) {
		t.Errorf("mean %g and tightest %g mm, read 0.0254 mm apart (derived)", r.Predicted.Backlash.Mean, r.Predicted.Tightest.Mean)
	}
}

// A step to find out never goes the less likely way.
func TestRecommendLikelierWay(t *testing.T) {
	r := recommended(t, "shingle-bank", `{"attempts":[
		{"shims":{"pinion":0.015},"unit":"in","backlash":[0.0405,0.041,0.0415,0.041],"notches":{"left":0,"right":0},"drive":{"cell":9},"coast":{"cell":9}},
		{"shims":{"pinion":0.015},"unit":"in","backlash":[0.0405,0.041,0.0415,0.041],"notches":{"left":0,"right":0},"drive":{"cell":9},"coast":{"cell":9}},
		{"shims":{"pinion":0.015},"unit":"in","backlash":[0.0385,0.0385,0.039,0.039],"notches":{"left":1,"right":-1},"drive":{"cell":9},"coast":{"cell":9}},
		{"shims":{"pinion":0.015},"unit":"in","backlash":[0.0385,0.039,0.0395,0.039],"notches":{"left":1,"right":-1},"drive":{"cell":9},"coast":{"cell":9}}]}`)
	if r.PinionMove > 0 || r.RingMove < 0.8 {
		t.Errorf("low patterns, lash 39 thou: pinion %g and ring gear %g mm, %s; want it shallower if at all, and the ring gear in (%s)", r.PinionMove, r.RingMove, r.Why, practice)
	}
}

// A long history is worked with its last assemblies, and that is said.
func TestRecommendLongHistory(t *testing.T) {
	var attempts []string
	for i := range 1000 {
		attempts = append(attempts, fmt.Sprintf(`{"shims":{"pinion":%.3f,"left":0.250,"right":0.250},"unit":"in","backlash":[%.4f,0.0140,0.0140],"drive":{"cell":2},"coast":{"cell":2}}`, 0.030+float64(i%7)/1000, 0.014+float64(i%3)/2000))
	}
	r := recommended(t, "lapwing", `{"attempts":[`+strings.Join(attempts, ",")+`]}`)
	if !strings.Contains(r.Why, "the last 10 of 1000 assemblies") {
		t.Errorf("%q does not say what it is from", r.Why)
	}
}
