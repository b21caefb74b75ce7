package listen

import (
	"math"
	"testing"
)

// Number words and typed forms. Source of all rows: common practice, no source
// (how people say and type the figures of this trade).
func TestNumbersAsTyped(t *testing.T) {
	for _, row := range []struct {
		text   string
		metric bool
		want   []float64
	}{
		{"point oh oh nine", false, []float64{0.009}},
		{"point zero zero eight five", false, []float64{0.0085}},
		{"double oh nine", false, []float64{0.009}},
		{"zero point two three", true, []float64{0.23}},
		{"eight and a half", false, []float64{8.5}},
		{"eight and three quarters", false, []float64{8.75}},
		{"8 1/2", false, []float64{8.5}},
		{"8½", false, []float64{8.5}},
		{"one hundred and eighty", false, []float64{180}},
		{"a hundred and five", false, []float64{105}},
		{"two fifty", false, []float64{250}},
		{"two forty one", false, []float64{241}},
		{"twenty two twenty three", false, []float64{22, 23}},
		{"eight eight nine eight", false, []float64{8, 8, 9, 8}},
		{"minus two", false, []float64{-2}},
		{"plus 3", false, []float64{3}},
		{"0,23", true, []float64{0.23}},
		{"0,20 0,22", true, []float64{0.20, 0.22}},
		{"8,8,9,8", true, []float64{8, 8, 9, 8}},
		{"8,9", false, []float64{8, 9}},
		{"1,25", true, []float64{1.25}},
		{".008.008.009", false, []float64{0.008, 0.008, 0.009}},
		{"8.8.9.8", false, []float64{8, 8, 9, 8}},
		{".oo8", false, []float64{0.008}},
		{"0. 21", true, []float64{0.21}},
		{"９", false, []float64{9}},
		{"8️⃣", false, []float64{8}},
		{"−3", false, []float64{-3}},
		{"half a thou", false, []float64{0.5}},
		{"this one", false, nil},
		{"oh well", false, nil},
	} {
		plain, _, _ := normalise(row.text)
		var got []float64
		for _, it := range mixedNumbers(decimalCommas(tagTokens(spellOut(mend(scan(plain)))), row.metric, !row.metric)) {
			if it.kind == figureItem {
				got = append(got, it.num.val)
			}
		}
		same := len(got) == len(row.want)
		for i := range min(len(got), len(row.want)) {
			same = same && math.Abs(got[i]-row.want[i]) < 1e-12
		}
		if !same {
			t.Errorf("%q: %v, want %v (source: common practice, no source)", row.text, got, row.want)
		}
	}
}

func TestSlipsAreMended(t *testing.T) {
	for typed, want := range map[string]string{
		"bakclash": "backlash", "backlsh": "backlash", "patern": "pattern", "pinoin": "pinion", "carreir": "carrier", "temprature": "temperature",
		"adjustr": "adjuster", "thousanths": "thousandths", "berings": "bearings",
	} {
		if got := mend(scan(typed)); len(got) != 1 || got[0].text != want {
			t.Errorf("%q became %v, want %q", typed, got, want)
		}
	}
	// true words stay
	for _, w := range []string{"parking", "hearing", "barrier", "reload", "roast", "driver", "wheel", "matches", "entered", "sleep"} {
		if got := mend(scan(w)); len(got) != 1 || got[0].text != w {
			t.Errorf("%q became %v", w, got)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, row := range []struct {
		a, b        string
		limit, want int
	}{
		{"backlash", "backlash", 2, 0}, {"backlash", "baclkash", 2, 1}, {"kitten", "sitting", 3, 3}, {"abc", "xyz", 1, 2},
	} {
		if got := distance(row.a, row.b, row.limit); got != row.want {
			t.Errorf("distance(%q, %q, %d) = %d, want %d (source: derived by hand)", row.a, row.b, row.limit, got, row.want)
		}
	}
}

func TestTriggerForm(t *testing.T) {
	for _, row := range []struct {
		trigger, text string
		want          bool
	}{
		{"nut & back* off", "backed off the nut", true},
		{"nut & back* off", "nut backed off", true},
		{"nut & back* off", "did not back off the nut", false},
		{"back* ~ off", "backed the nut right off", true},
		{"back* ~ off", "backed the nut a b c d e f g off", false},
		{"smoke ! break", "smoke break", false},
		{"smoke | fire", "fire", true},
		{"lash #", "lash 9", true},
		{"cant find ~ lock & adjuster", "cant find the lock for the adjuster", true},
		{"air ~ bearing", "air but not the bearing", false},
		{"not sure & cap", "not sure which cap", true},
	} {
		plain, _, _ := normalise(row.text)
		words, _ := wordsOf(groupFigures(tagTokens(mend(scan(plain)))))
		if got := compileTrigger(row.trigger).in(words); got != row.want {
			t.Errorf("%q on %q: %v, want %v", row.trigger, row.text, got, row.want)
		}
	}
}

// Every word of the tables is found again where it is looked for.
func TestTablesAreReachable(t *testing.T) {
	for id, words := range unitWords {
		for _, w := range words {
			tokens := joinHyphens(scan(w))
			if got, n := unitPhrases.longest(tokens, 0); n != len(tokens) || got != id {
				t.Errorf("unit %q reads as %d (%d of %d tokens), want %d", w, got, n, len(tokens), id)
			}
		}
	}
	ids := make(map[string]bool)
	for _, d := range Dangers() {
		if ids[d.ID] || d.Text == "" || d.Level != "note" && d.Level != "caution" && d.Level != "stop" {
			t.Errorf("danger %+v", d)
		}
		ids[d.ID] = true
	}
}
