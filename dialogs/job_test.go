package dialogs

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// record writes one entry of a test log.
func record(t testing.TB, message string, p payload) []byte {
	t.Helper()
	s := Said{ID: message, By: Person{Name: "ann", Role: Technician}, At: time.Date(2031, 3, 4, 9, 0, 0, 0, time.UTC)}
	b, err := Encode(s.event(p))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func inches(slot Slot, values ...float64) measured {
	return measured{Slot: slot, What: whatOf(slot), Values: values, Unit: "in"}
}

func fold(t testing.TB, records ...[]byte) *Job {
	t.Helper()
	j, err := Fold("7", records)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestCorrectionReplacesWithoutOverwriting(t *testing.T) {
	j := fold(t,
		record(t, "m1", opened{Number: 7, Sheet: "curlew"}),
		record(t, "m2", inches(TrialBacklash, 0.009)),
		record(t, "m3", retracted{Entries: []uint64{2}}),
		record(t, "m3", inches(TrialBacklash, 0.007)),
	)
	if got := j.Trial().Backlash.Values; !cmp.Equal(got, []float64{0.007}) {
		t.Errorf("backlash after the correction = %v, want 0.007", got)
	}
	if len(j.Log) != 4 || j.Log[1].Live || !j.Log[3].Live {
		t.Errorf("the log keeps all four entries and marks the second as taken back: %+v", j.Log)
	}
}

func TestTakingACorrectionBackBringsTheOldReadingBack(t *testing.T) {
	j := fold(t,
		record(t, "m1", opened{Number: 7, Sheet: "curlew"}),
		record(t, "m2", inches(TrialBacklash, 0.009)),
		record(t, "m3", retracted{Entries: []uint64{2}}),
		record(t, "m3", inches(TrialBacklash, 0.007)),
		record(t, "m4", retracted{Entries: []uint64{3, 4}}),
	)
	if got := j.Trial().Backlash.Values; !cmp.Equal(got, []float64{0.009}) {
		t.Errorf("backlash after undoing the correction = %v, want 0.009", got)
	}
}

func TestUnknownKindIsKeptAndMakesTheJobReadOnly(t *testing.T) {
	odd := []byte(`{"kind":"weighed","at":"2031-03-04T09:00:00Z","data":{"kg":12,"x":[1,2]}}`)
	j := fold(t, record(t, "m1", opened{Number: 7, Sheet: "curlew"}), odd)
	if j.ReadOnly == "" {
		t.Error("a job with an entry of a newer version can be written to")
	}
	if j.Sheet != "curlew" || j.Version() != 2 {
		t.Errorf("the known entries are not folded: sheet %q, version %d", j.Sheet, j.Version())
	}
}

func TestDamagedRecordIsAnError(t *testing.T) {
	for _, bad := range []string{"", "{", "null x", `{"kind":"measured","data":{"values":"no"}}`} {
		if _, err := Fold("7", [][]byte{[]byte(bad)}); err == nil {
			t.Errorf("Fold(%q) gave no error", bad)
		}
	}
}

func TestMovesRunOnTheStacks(t *testing.T) {
	j := fold(t,
		record(t, "m1", opened{Number: 7, Sheet: "curlew"}),
		record(t, "m2", inches(BuildLeft, 0.250)),
		record(t, "m3", inches(BuildRight, 0.245)),
		record(t, "m4", inches(TrialBacklash, 0.014)),
		record(t, "m5", moved{From: "right", To: "left", Amount: unit.Thou(10)}),
	)
	b := j.Trial().Build
	if len(j.Trials) != 2 {
		t.Fatalf("%d trials, want 2: a change after a reading is a new trial assembly", len(j.Trials))
	}
	if got := b.Left.Thickness.Inch(); !near(got, 0.260) {
		t.Errorf("left = %.4f in, want 0.260", got)
	}
	if got := b.Right.Thickness.Inch(); !near(got, 0.235) {
		t.Errorf("right = %.4f in, want 0.235", got)
	}
	if j.Trial().Backlash != nil {
		t.Error("the backlash of the old build stands for the new one")
	}
}

func TestLashAtNamedPlacesAddsUp(t *testing.T) {
	at := func(place string, v float64) measured {
		m := inches(TrialBacklash, v)
		m.Positions = []string{place}
		return m
	}
	j := fold(t, record(t, "m1", opened{Number: 7}),
		record(t, "m2", at("12", 0.008)), record(t, "m3", at("3", 0.009)), record(t, "m4", at("12", 0.007)))
	r := j.Trial().Backlash
	if !cmp.Equal(r.Positions, []string{"3", "12"}) || !cmp.Equal(r.Values, []float64{0.009, 0.007}) {
		t.Errorf("round the ring = %v at %v, want 0.009 at 3 and the later 0.007 at 12", r.Values, r.Positions)
	}
}

// Signs by construction. Source: common practice, no source.
func TestShimsBecomeGearMoves(t *testing.T) {
	for _, c := range []struct {
		name         string
		shim         rules.PinionShim
		side         rules.Side
		build        Build
		pinion, ring float64 // thou
	}{
		{"thicker behind the head bearing is deeper", rules.BehindHeadBearing, rules.Left, Build{Pinion: Stack{Change: unit.Thou(5)}}, 5, 0},
		{"thicker under the inner race is deeper", rules.UnderInnerRace, rules.Left, Build{Pinion: Stack{Change: unit.Thou(5)}}, 5, 0},
		{"thicker under a cartridge backs it away", rules.UnderCartridge, rules.Left, Build{Pinion: Stack{Change: unit.Thou(5)}}, -5, 0},
		{"ring left, right to left closes", rules.BehindHeadBearing, rules.Left, Build{Left: Stack{Change: unit.Thou(8)}, Right: Stack{Change: unit.Thou(-8)}}, 0, 8},
		{"ring right, right to left opens", rules.BehindHeadBearing, rules.Right, Build{Left: Stack{Change: unit.Thou(8)}, Right: Stack{Change: unit.Thou(-8)}}, 0, -8},
		{"both sides thicker is preload, no move", rules.BehindHeadBearing, rules.Left, Build{Left: Stack{Change: unit.Thou(4)}, Right: Stack{Change: unit.Thou(4)}}, 0, 0},
		{"adjusters, two notches right to left", rules.BehindHeadBearing, rules.Left, Build{LeftNotches: 2, RightNotches: -2}, 0, 2 * 1.5 / 24 / 0.0254},
	} {
		s := &rules.Sheet{Ring: rules.Ring{Side: c.side}, Pinion: rules.Pinion{Shim: c.shim}, Carrier: rules.Carrier{By: rules.Adjusters, Pitch: unit.MM(1.5), Notches: 24}}
		if got := PinionMove(s, c.build).Thou(); !near(got, c.pinion) {
			t.Errorf("%s: pinion %.3f thou, want %.3f", c.name, got, c.pinion)
		}
		if got := RingMove(s, c.build).Thou(); !near(got, c.ring) {
			t.Errorf("%s: ring %.3f thou, want %.3f", c.name, got, c.ring)
		}
		left, right := SidesFor(s, RingMove(s, c.build))
		again := RingMove(s, Build{Left: Stack{Change: left}, Right: Stack{Change: right}})
		if !near(again.Thou(), c.ring) {
			t.Errorf("%s: SidesFor does not lead back: %.3f thou, want %.3f", c.name, again.Thou(), c.ring)
		}
	}
}

// A log folded in pieces gives the job it gives at once, whatever was taken back.
func TestFoldingInPiecesIsFoldingAtOnce(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var records [][]byte
		n := rapid.IntRange(1, 30).Draw(rt, "n")
		for i := 1; i <= n; i++ {
			var p payload
			switch rapid.IntRange(0, 6).Draw(rt, "kind") {
			case 0:
				p = inches(TrialBacklash, rapid.Float64Range(0, 0.03).Draw(rt, "lash"))
			case 1:
				p = moved{From: "right", To: "left", Amount: unit.Thou(rapid.Float64Range(-20, 20).Draw(rt, "move"))}
			case 2:
				p = retracted{Entries: []uint64{uint64(rapid.IntRange(1, i).Draw(rt, "back"))}}
			case 3:
				p = stated{Fact: listen.FactCapsTorqued, No: rapid.Bool().Draw(rt, "no")}
			case 4:
				p = inches(BuildPinion, rapid.Float64Range(0.01, 0.05).Draw(rt, "shim"))
			case 5:
				p = skipped{Step: StepFound, Reason: "x"}
			case 6:
				p = reopened{Step: StepFound}
			}
			records = append(records, record(t, fmt.Sprint("m", i), p))
		}
		whole := fold(t, records...)
		cut := rapid.IntRange(0, n).Draw(rt, "cut")
		pieces := fold(t, records[:cut]...)
		if err := pieces.Extend(records[cut:]); err != nil {
			rt.Fatal(err)
		}
		opt := cmp.AllowUnexported(Job{}, Entry{}, measured{}, moved{}, retracted{}, stated{}, skipped{}, reopened{},
			Reading{}, Move{}, Fact{}, Skip{}, Trial{}, Build{})
		if diff := cmp.Diff(whole, pieces, opt); diff != "" {
			rt.Fatalf("folded in pieces the job differs:\n%s", diff)
		}
	})
}

func TestHeardMessagesCountOnce(t *testing.T) {
	j := fold(t, record(t, "m1", opened{Number: 7, Sheet: "curlew"}))
	d := &Desk{}
	r, err := d.Answer(j, Said{ID: "m1", Text: "lash 9"})
	if err != nil || len(r.Events)+len(r.Out) > 0 {
		t.Errorf("a repeated message was answered again: %+v, %v", r, err)
	}
}

// Events appended in memory add up to what folding their records does, odd ones too.
func TestWithIsFold(t *testing.T) {
	at := time.Date(2031, 3, 4, 9, 0, 0, 123456789, time.FixedZone("", 3600))
	said := Said{ID: "m1", By: Person{Name: "ann", Role: Technician}, At: at, Text: "open curlew <b>"}
	events := []Event{
		said.event(opened{Number: 7, Sheet: "curlew", Title: "a & b"}),
		{Kind: kindMeasured, At: time.Now(), By: "an\xffn", Said: "lash\xff\xfe 9", Data: said.event(inches(TrialBacklash, 0.009)).Data},
		{Kind: kindStated, At: at, Data: []byte(`{ "fact" : "<caps-torqued>" }`)},
		{Kind: "of a newer version", At: at, Data: []byte(`{"a": 1}`)},
	}
	var records [][]byte
	job := fold(t)
	for _, e := range events {
		r, err := Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		records = append(records, r)
		if job, err = job.With([]Event{e}); err != nil {
			t.Fatal(err)
		}
	}
	whole := fold(t, records...)
	whole.ID = job.ID
	if !reflect.DeepEqual(job, whole) {
		t.Errorf("appended:\n%+v\nfolded:\n%+v", job, whole)
	}
}
