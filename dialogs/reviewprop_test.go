package dialogs_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"shimwright/dialogs"
)

// lastRead gives the assembly read last, of the trials or of the final ones: each kind
// is looked at at its own step.
func lastRead(j *dialogs.Job, final bool) *dialogs.Trial {
	for i := len(j.Trials) - 1; i >= 0; i-- {
		if t := &j.Trials[i]; t.Final == final && (t.Backlash != nil || t.Drive != nil || t.Coast != nil) {
			return t
		}
	}
	return nil
}

// pictureOf is what a look at the trial loop, or at the final assembly, shows, told
// from the job's open state and from nothing the reviews keep.
func pictureOf(j *dialogs.Job, final bool) string {
	tr := lastRead(j, final)
	if tr == nil {
		return "nothing read"
	}
	text := fmt.Sprintf("trial %d %.4f %.4f %.4f;", tr.No, tr.Build.Pinion.Thickness.MM(), tr.Build.Left.Thickness.MM(), tr.Build.Right.Thickness.MM())
	for _, r := range []*dialogs.Reading{tr.Backlash, tr.Drive, tr.Coast} {
		if r == nil {
			text += " none;"
			continue
		}
		text += fmt.Sprintf(" %v %s %s %s by %s;", r.Values, r.Along, r.Across, r.Degree, r.By)
	}
	return text
}

// No sequence of messages, in whichever order they come in, leads to a trial that is
// passed with figures an apprentice entered and nobody else who may has seen exactly
// as they stand.
func TestNoApprovalOfWhatWasNotShown(t *testing.T) {
	base := toLoop(t, "lapwing")
	log := encoded(t, base.job)
	says := map[string][]string{
		"ben": {
			"lash 14 14 13 14", "lash 8 8 8 7.5", "drive high and heel", "drive centered", "coast high and heel", "coast centered",
			"lash 14 14 13 14, drive high and heel, coast high and heel", "lash 8 8 8 8, drive centered, coast centered",
			"meant coast", "scratch that", "undo", "done", "approved", "approve 1", "mentor says ok", "mentor please check", "skip no time",
			"reopen 8", "took 5 out of the right and put it left", "lash at 12: 9, at 3: 8", "override it is fine", "32, i read it twice",
		},
		"mentor": {
			"looks good", "approved", "approve 1", "approve 2", "approve 3", "ok 2", "re-read the coast, smeared", "re-read 1", "hold", "lift the hold",
			"why high?", "i'll take it", "back to you", "undo", "lash 8 8 8 8", "coast centered", "pull 2 out of the right and put it left", "go ahead",
		},
		"owner": {"approve 1", "approve 2", "looks good", "coast centered"},
		"ann":   {"approved", "approve 1", "undo", "lash 9 9 9 9"},
	}
	rapid.Check(t, func(rt *rapid.T) {
		job, err := dialogs.Fold("7", log)
		if err != nil {
			rt.Fatal(err)
		}
		k := &talk{t: t, desk: base.desk, job: job, now: base.now, n: base.n}
		shown := map[int]string{}       // by look
		words := map[uint64][2]string{} // an approval nobody had asked for: what stood when it was written
		var script []string
		for i := 0; i < 10; i++ {
			who := rapid.SampledFrom([]string{"ben", "ben", "ben", "mentor", "mentor", "owner", "ann"}).Draw(rt, "who")
			text := rapid.SampledFrom(says[who]).Draw(rt, "text")
			s := k.said(who, text)
			late := time.Duration(rapid.SampledFrom([]int{0, 0, 0, 0, 50, 90, 150}).Draw(rt, "late")) * time.Second
			s.At = s.At.Add(-late)
			script = append(script, fmt.Sprintf("%s (%v late)> %s", who, late, text))
			before, stood := k.job.Version(), [2]string{pictureOf(k.job, false), pictureOf(k.job, true)}
			reply, err := k.desk.Answer(k.job, s)
			if err != nil {
				rt.Fatal(err)
			}
			k.keep(reply)
			for _, r := range k.job.Reviews {
				switch {
				case r.Seq <= before:
				case r.Decision == "request" && (r.Step == dialogs.StepLoop || r.Step == dialogs.StepFinalCarrier):
					shown[r.Look] = pictureOf(k.job, r.Step == dialogs.StepFinalCarrier)
				case r.Decision == "approve" && r.Look == 0:
					words[r.Seq] = stood
				}
			}
			if why := passedUnseen(k, shown, words); why != "" {
				rt.Fatalf("%s\n%s", why, strings.Join(script, "\n"))
			}
		}
		again, err := dialogs.Fold("7", encoded(t, k.job))
		if err != nil {
			rt.Fatal(err)
		}
		if !reflect.DeepEqual(again.Reviews, k.job.Reviews) || pictureOf(again, false) != pictureOf(k.job, false) || pictureOf(again, true) != pictureOf(k.job, true) || again.Held != k.job.Held {
			rt.Fatalf("folded anew the job is another\n%s", strings.Join(script, "\n"))
		}
	})
}

// passedUnseen says what is wrong where the trial loop is passed, or its advised
// change may be built, though an apprentice's figures in it were not approved by
// somebody who saw them.
func passedUnseen(k *talk, shown map[int]string, words map[uint64][2]string) string {
	if why := passedStep(k, dialogs.StepLoop, 8, shown, words); why != "" {
		return why
	}
	return passedStep(k, dialogs.StepFinalCarrier, 10, shown, words)
}

func passedStep(k *talk, step dialogs.StepID, no int, shown map[int]string, words map[uint64][2]string) string {
	final := step == dialogs.StepFinalCarrier
	tr := lastRead(k.job, final)
	if tr == nil || !final && !k.job.Trial().Final && tr.No != k.job.Trial().No {
		return "" // another trial is built and not read yet
	}
	st, f := k.next()
	passed := st.ID == dialogs.StepFinished || st.No > no || st.ID == step && f != nil && f.Act == "built"
	if !passed {
		return ""
	}
	bens := false
	authors := map[string]bool{}
	for _, r := range []*dialogs.Reading{tr.Backlash, tr.Drive, tr.Coast} {
		if r != nil {
			authors[r.By], bens = true, bens || r.By == "ben"
		}
	}
	if !bens {
		return ""
	}
	now := pictureOf(k.job, final)
	for _, r := range k.job.Reviews {
		if r.Decision != "approve" || authors[r.By] || !r.Role.Reviews() || r.Step != step {
			continue
		}
		stood := words[r.Seq][0]
		if final {
			stood = words[r.Seq][1]
		}
		if r.Look > 0 && shown[r.Look] == now || r.Look == 0 && stood == now {
			return ""
		}
	}
	return "passed at " + string(st.ID) + " with " + now + ", which no approval has seen"
}

// encoded gives the records of a job's log.
func encoded(t *testing.T, j *dialogs.Job) [][]byte {
	t.Helper()
	var records [][]byte
	for _, e := range j.Log {
		b, err := dialogs.Encode(e.Event)
		if err != nil {
			t.Fatal(err)
		}
		records = append(records, b)
	}
	return records
}
