package dialogs_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// toRoad brings a job to its break-in.
func toRoad(t testing.TB, sheet string) *talk {
	t.Helper()
	k := open(t, sheet)
	for n := 1; n <= 12; n++ {
		k.play(fmt.Sprintf("ann> skip %d done by hand", n))
		for look := 1; look <= 3; look++ {
			k.play(fmt.Sprintf("mentor> approve %d", look))
		}
	}
	if st, f := k.next(); st.ID != dialogs.StepBreakIn || f == nil {
		t.Fatalf("the job stands at %s, want the break-in", st.ID)
	}
	return k
}

// timers gives what is to be said when, as minutes from now.
func (k *talk) timers() []string {
	k.t.Helper()
	all, err := k.desk.Timers(k.job)
	if err != nil {
		k.t.Fatal(err)
	}
	var out []string
	for _, tm := range all {
		parts := strings.Split(tm.Key, "/")
		out = append(out, fmt.Sprintf("%s %s %.0f", parts[1], strings.Join(tm.Ping, ","), tm.Due.Sub(k.now).Minutes()))
	}
	return out
}

// wait moves the clock and gives what is said by then, each at its time.
func (k *talk) wait(d time.Duration) string {
	k.t.Helper()
	end := k.now.Add(d)
	var said []string
	for {
		all, err := k.desk.Timers(k.job)
		if err != nil {
			k.t.Fatal(err)
		}
		if len(all) == 0 || all[0].Due.After(end) {
			k.now = end
			return strings.Join(said, "\n")
		}
		if all[0].Due.After(k.now) {
			k.now = all[0].Due
		}
		reply, err := k.desk.Due(k.job, all[0].Key, all[0].Due, k.now, people["ann"])
		if err != nil {
			k.t.Fatal(err)
		}
		if len(reply.Events) == 0 {
			k.t.Fatalf("%s is due and not said", all[0].Key)
		}
		if said = append(said, k.keep(reply)); len(said) > 50 {
			k.t.Fatalf("it says one thing after the other:\n%s", strings.Join(said, "\n"))
		}
	}
}

func same(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

func TestALegGoesFromOffToCool(t *testing.T) {
	k := toRoad(t, "lapwing")
	has(t, k.play("ann> start break-in"), "4 drives of 10 mi", "250 °F", "never type while driving", "say off")
	has(t, k.play("ann> off"), "leg 1 of 4")
	same(t, "while driving", k.timers(), "back ann 54")
	k.now = k.now.Add(20 * time.Minute)
	has(t, k.play("ann> back, 10.5 mi, pinion 180 carrier 150"), "leg 1: 10.5 mi; 180 °F at the pinion; 150 °F at the carrier", "any noise", "cooling until")
	same(t, "while it cools", k.timers(), "cooled ann 30")
	has(t, k.wait(30*time.Minute), "cooled 30 min", "leg 2 of 4")
	same(t, "once it is cool", k.timers(), "idle ann 1320", "week ann 10080")
	hasNot(t, k.play("ann> off"), "caution")
	has(t, k.play("ann> where are we"), "1 of 4 legs")
}

func TestALegThatSetsOffTooSoonIsCautioned(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off")
	k.now = k.now.Add(20 * time.Minute)
	k.play("ann> back, 10 miles, 170 at the pinion, quiet")
	k.now = k.now.Add(11 * time.Minute)
	has(t, k.play("ann> off"), "12 min of cooling, the plan asks for 30")
}

func TestAHotReportHoldsThePlanUntilAMentorSpeaks(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off")
	has(t, k.play("ann> 255 at the pinion, pulled over"), "stop: the housing is hot", "on hold", "a mentor is asked")
	same(t, "timers on hold", k.timers())
	has(t, k.play("ann> go on"), "only a mentor's word lifts it")
	has(t, k.play("ann> off"), "on hold")
	k.now = k.now.Add(2 * time.Hour)
	has(t, k.play("ann> 120 at the pinion now"), "120 °F")
	has(t, k.play("ann> go on"), "only a mentor's word lifts it")
	has(t, k.play("mentor> found it low on oil, topped up, ok to go on"), "going on", "leg 1 of 4")
	hasNot(t, k.play("ann> where are we"), "on hold")
	has(t, k.play("ann> off"), "leg 1 of 4 is on")
}

func TestAHoldIsGoneOverWithAReason(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> back 10 miles 170 at the pinion, howls on drive at 50")
	has(t, k.play("ann> what's next"), "on hold")
	has(t, k.play("ann> override tyre noise, went away on the other road"), "leg 2 of 4")
}

// A pause is taken and ended by anybody; what is due in it is not said.
func TestAPauseStopsTheReminders(t *testing.T) {
	k := toRoad(t, "saltmarsh")
	k.play("ann> start break-in", "ann> off")
	has(t, k.play("ann> back 16 km, 80 pinion 70 carrier, quiet"), "80 °C at the pinion")
	has(t, k.play("ann> pause, need the bay"), "paused")
	same(t, "in a pause", k.timers(), "paused ann 10080")
	hasNot(t, k.wait(3*time.Hour), "cooled")
	has(t, k.play("ann> resume"), "leg 2 of 3")
}

func TestLaterPutsOffWhatWasSaidLast(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> back 10 miles 170 at the pinion quiet")
	k.wait(30 * time.Minute)
	has(t, k.play("ann> in 20 min"), "i come back to it at")
	same(t, "put off", k.timers(), "idle ann 20", "week ann 10079")
	has(t, k.wait(20*time.Minute), "still to be driven")
	has(t, k.play("ann> not today"), "2031-03-05 08:00")
	k.now = k.now.Add(30 * time.Hour)
	hasNot(t, k.hear("ann", "later today i get the truck, what's next"), "come back to it")
}

func TestWhatIsSaidOfALegBitByBitIsOneLeg(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off")
	has(t, k.play("ann> back"), "how far, how hot")
	has(t, k.play("ann> 10"), "leg 1: 10 mi", "how hot")
	has(t, k.play("ann> 185 and 160"), "185 °F")
	has(t, k.play("ann> nothing to hear"), "quiet", "then leg 2 of 4")
	has(t, k.play("ann> where are we"), "1 of 4 legs driven; leg 1 10 mi")
}

func TestTheRoadIsTakenInSpanish(t *testing.T) {
	people["eva"] = dialogs.Person{Name: "eva", Role: dialogs.Technician, Language: phrase.Spanish}
	k := toRoad(t, "saltmarsh")
	has(t, k.play("eva> 1"), "3 recorridos de 16 km", "di salgo")
	has(t, k.play("eva> salgo"), "sale: etapa 1 de 3")
	has(t, k.play("eva> de vuelta, 16 km, 85 en el piñón, 70 en los laterales, sin ruido"), "etapa 1: 16 km; 85 °C en el piñón; 70 °C en los laterales; sin ruido", "enfriando hasta")
	has(t, k.play("eva> pausa"), "en pausa")
	has(t, k.play("eva> seguimos"), "enfriando")
	k.wait(time.Hour)
	has(t, k.play("eva> luego"), "vuelvo a eso")
	has(t, k.play("eva> salgo", "eva> aúlla en retención a 80"), "huella de retención", "está parado")
	for _, l := range k.past {
		if strings.Contains(l, "‹") {
			t.Errorf("a phrase is not whole: %s", l)
		}
	}
}

func TestADistanceThatCanBeSpeedsIsAskedAgain(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> back")
	has(t, k.play("ann> drive 5 coast 15"), "with the unit", "nothing was logged")
	if st, _ := k.next(); st.ID != dialogs.StepBreakIn || k.job.BreakIn.Drives[0].Distance != 0 {
		t.Errorf("driven: %+v", k.job.BreakIn.Drives)
	}
}

func TestHalfALegIsGoneOnWith(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> back, only 4 miles, 150 at the pinion, quiet")
	has(t, k.wait(time.Hour), "leg 1 of 4: 6 mi left of it")
	k.play("ann> off", "ann> back, 6 miles, 150 at the pinion, quiet")
	has(t, k.wait(time.Hour), "leg 2 of 4: 10 mi")
}

func TestUndoTakesADriveAndItsReminderBack(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> back 10 miles 170 at the pinion quiet")
	same(t, "cooling", k.timers(), "cooled ann 30")
	k.play("ann> undo")
	same(t, "out again", k.timers(), "back ann 52")
}

func TestABreakInIsNotStartedBeforeTheAxleIsClosed(t *testing.T) {
	k := toLoop(t, "lapwing")
	has(t, k.play("ann> start the break-in"), "step 8", "not ready to drive")
	if k.job.BreakIn != nil {
		t.Error("it has begun")
	}
}

func TestChatterOnTheRoadIsLeftAlone(t *testing.T) {
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in")
	before := k.job.Version()
	for _, text := range []string{"going for lunch", "back from lunch", "see you later", "anyone seen the torch", "will be back later", "tyres are at 110", "thanks"} {
		if answer := k.hear("ann", text); answer != "" {
			t.Errorf("%q is answered: %s", text, answer)
		}
	}
	if k.job.Version() != before {
		t.Errorf("%d entries came of it", k.job.Version()-before)
	}
}

// driven brings a job behind its last leg.
func throughRoad(t *testing.T, sheet, leg string) *talk {
	k := toRoad(t, sheet)
	k.play("ann> start break-in")
	for range 6 {
		if st, _ := k.next(); st.ID != dialogs.StepBreakIn {
			break
		}
		k.play("ann> off")
		k.now = k.now.Add(20 * time.Minute)
		k.play("ann> back, " + leg)
		k.wait(30 * time.Minute)
	}
	if st, _ := k.next(); st.ID != dialogs.StepAfter {
		t.Fatalf("the job stands at %s, want afterwards", st.ID)
	}
	return k
}

func TestTheFirstOilIsAskedForByDistance(t *testing.T) {
	k := throughRoad(t, "lapwing", "10 miles, 170 at the pinion, quiet")
	has(t, k.wait(24*time.Hour), "leaks", "never the pinion nut")
	k.play("ann> no leaks, wheel nuts torqued again")
	has(t, k.wait(6*24*time.Hour), "about 500 mi since the break-in yet")
	// 250 mi in a week: the other half takes another week.
	has(t, k.play("ann> no, 250 so far"), "250 mi since the break-in", "i ask again on 2031-03-18")
	hasNot(t, k.wait(6*24*time.Hour), "500 mi")
	has(t, k.wait(2*24*time.Hour), "500 mi")
	has(t, k.play("ann> yes"), "change the oil now")
	has(t, k.play("ann> oil changed, fine fuzz on the magnet"), "first oil changed", "all done")
	same(t, "at the end", k.timers())
}

func TestTheFirstOilIsDueByDate(t *testing.T) {
	k := throughRoad(t, "saltmarsh", "16 km, 80 pinion 70 carrier, quiet")
	k.play("ann> no leaks, wheel nuts torqued again")
	said := ""
	for range 10 {
		said = k.wait(7 * 24 * time.Hour)
		if strings.Contains(said, "two months") {
			break
		}
		has(t, said, "800 km")
		k.play("ann> not yet")
	}
	has(t, said, "two months", "800 km")
}

func TestAClosedJobRemindsOfNothing(t *testing.T) {
	k := throughRoad(t, "lapwing", "10 miles, 170 at the pinion, quiet")
	if len(k.timers()) == 0 {
		t.Fatal("nothing is to be said afterwards")
	}
	k.play("owner> close job customer drives it from here")
	same(t, "closed", k.timers())
	k.now = k.now.Add(90 * 24 * time.Hour)
	has(t, k.play("ann> reopen the job"), "open again")
	for _, tm := range k.timers() {
		if strings.Contains(tm, "-") {
			t.Errorf("it catches up on the time it was closed: %s", tm)
		}
	}
}

// What a noise comes from: common practice, no source.
func TestNoiseLeadsToACause(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"howls on drive at 50, gone on coast", "drive pattern"},
		{"howls at 55 coasting", "coast pattern or lost pinion preload"},
		{"howls on drive and on coast at 50", "pinion depth"},
		{"growls all the time, faster with speed, load makes no difference", "a bearing"},
		{"growls in left turns", "bearing on the loaded side"},
		{"chatters in tight turns", "limited slip"},
		{"clunks when i get on and off the gas", "lash in the line"},
		{"ticks all the time, once per wheel turn", "a nick or a chip"},
		{"hums at 60 floating", "most likely lash"},
		{"clicks on tight turns", "side gears or a joint"},
	} {
		k := throughRoad(t, "lapwing", "10 miles, 170 at the pinion, quiet")
		answer := k.play("ann> " + c.said)
		if !strings.Contains(answer, c.want) || !strings.Contains(answer, "check") {
			t.Errorf("%q: want %q and a check (common practice, no source) in\n%s", c.said, c.want, answer)
		}
		if n := strings.Count(answer, "\n"); n > 7 {
			t.Errorf("%q: %d lines\n%s", c.said, n+1, answer)
		}
	}
}

func TestANoiseIsAskedAboutBitByBit(t *testing.T) {
	k := throughRoad(t, "lapwing", "10 miles, 170 at the pinion, quiet")
	has(t, k.play("ann> it makes a noise"), "when do you hear it")
	has(t, k.play("ann> on coast"), "what does it sound like")
	has(t, k.play("ann> howl"), "coast pattern")
	has(t, k.play("ann> 50 to 55"), "at 50–55 mph")
}

// Whatever is said in whatever order, and however the clock is stepped: a timer that
// is due is said at once and never again, moving the clock alone changes none, and
// the log folded anew gives the same ones.
func TestTimersOfTheRoadHoldUnderAnything(t *testing.T) {
	messages := []string{
		"start break-in", "off", "back", "back 10 miles 170 at the pinion", "10", "quiet", "howls on drive at 50", "262 at the pinion", "cooled",
		"cooled 40 min", "pause", "resume", "later", "in 20 min", "tomorrow", "undo", "no leaks", "wheel nuts torqued again", "yes", "no, 200 so far",
		"oil changed", "leg 4 done", "where are we", "close job enough", "reopen the job", "override fine by me", "skip customer drives it",
	}
	base := toRoad(t, "lapwing")
	rapid.Check(t, func(r *rapid.T) {
		k := &talk{t: t, desk: base.desk, job: base.job, now: base.now, n: base.n}
		said := map[string]bool{}
		for range rapid.IntRange(1, 25).Draw(r, "steps") {
			switch rapid.SampledFrom([]string{"ann", "ann", "ann", "mentor", "clock", "clock"}).Draw(r, "what") {
			case "ann":
				k.play("ann> " + rapid.SampledFrom(messages).Draw(r, "says"))
			case "mentor":
				k.play("mentor> ok to go on")
			case "clock":
				before := k.timersExact(r)
				k.now = k.now.Add(time.Duration(rapid.IntRange(-300, 6000).Draw(r, "minutes")) * time.Minute)
				if diff := cmp.Diff(before, k.timersExact(r)); diff != "" {
					r.Fatalf("the clock alone changed the timers:\n%s", diff)
				}
			}
			for n := 0; ; n++ {
				all, err := k.desk.Timers(k.job)
				if err != nil {
					r.Fatal(err)
				}
				if len(all) == 0 || all[0].Due.After(k.now) {
					break
				}
				id := all[0].Key + all[0].Due.String()
				if said[id] || n > 60 {
					r.Fatalf("%s is said again", id)
				}
				said[id] = true
				reply, err := k.desk.Due(k.job, all[0].Key, all[0].Due, k.now, people["ann"])
				if err != nil || len(reply.Events) == 0 || len(reply.Out) == 0 {
					r.Fatalf("%s is due and not said: %v %v", id, reply, err)
				}
				k.keep(reply)
			}
			var records [][]byte
			for _, e := range k.job.Log {
				record, err := dialogs.Encode(e.Event)
				if err != nil {
					r.Fatal(err)
				}
				records = append(records, record)
			}
			again, err := dialogs.Fold(k.job.ID, records)
			if err != nil {
				r.Fatal(err)
			}
			was := k.timersExact(r)
			k.job = again
			if diff := cmp.Diff(was, k.timersExact(r)); diff != "" {
				r.Fatalf("folded anew the timers differ:\n%s", diff)
			}
		}
	})
}

func (k *talk) timersExact(t rapid.TB) []dialogs.Timer {
	all, err := k.desk.Timers(k.job)
	if err != nil {
		t.Fatal(err)
	}
	return all
}
