package dialogs

import (
	"bytes"
	"errors"

	"shimwright/dialogs/advise"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// Picture is a picture as data, drawn when it is sent, so that the outbox stays
// small and a picture sent again is the same one. One of the pointers is set.
type Picture struct {
	Name string `json:"name"`
	// Language is what it is labelled in, English where empty.
	Language phrase.Language `json:"language,omitempty"`

	Pattern *picture.PatternPicture  `json:"pattern,omitempty"`
	Round   *picture.BacklashPicture `json:"round,omitempty"`
	Cells   *picture.ChoicePicture   `json:"cells,omitempty"`
	Stacks  *picture.StacksPicture   `json:"stacks,omitempty"`
	Bars    *picture.BarsPicture     `json:"bars,omitempty"`
	Step    *picture.StepPicture     `json:"step,omitempty"`
}

// PNG draws the picture.
func (p Picture) PNG(painter *picture.Painter) ([]byte, error) {
	painter = painter.In(string(p.Language))
	var b bytes.Buffer
	var err error
	switch {
	case p.Pattern != nil:
		err = painter.Pattern(&b, *p.Pattern)
	case p.Round != nil:
		err = painter.Backlash(&b, *p.Round)
	case p.Cells != nil:
		err = painter.Choices(&b, *p.Cells)
	case p.Stacks != nil:
		err = painter.Stacks(&b, *p.Stacks)
	case p.Bars != nil:
		err = painter.Bars(&b, *p.Bars)
	case p.Step != nil:
		err = painter.Step(&b, *p.Step)
	default:
		err = errors.New("a picture of nothing")
	}
	return b.Bytes(), err
}

// Alt says the picture in words.
func (p Picture) Alt() string {
	l := picture.LabelsIn(string(p.Language))
	switch {
	case p.Pattern != nil:
		return p.Pattern.AltText(l)
	case p.Round != nil:
		return p.Round.AltText(l)
	case p.Cells != nil:
		return p.Cells.AltText(l)
	case p.Stacks != nil:
		return p.Stacks.AltText(l)
	case p.Bars != nil:
		return p.Bars.AltText(l)
	case p.Step != nil:
		return p.Step.AltText(l)
	}
	return ""
}

// acceptable is the zone a pattern should lie in: the middle third along the
// tooth and half its height. Common practice, no source.
func acceptable() *picture.Zone {
	return &picture.Zone{Low: picture.Point{Along: -1.0 / 3, Across: -0.5}, High: picture.Point{Along: 1.0 / 3, Across: 0.5}}
}

// patternPicture shows the patterns as read and as predicted.
func patternPicture(v voice, s *rules.Sheet, j *Job, a Advice) []Picture {
	t := j.Trial()
	if t.Drive == nil && t.Coast == nil {
		return nil
	}
	p := &picture.PatternPicture{Units: v.own}
	p.Drive = picture.Flank{Reported: reportedPatch(v, t.Drive), Target: acceptable()}
	p.Coast = picture.Flank{Reported: reportedPatch(v, t.Coast), Target: acceptable()}
	if a.Verdict == advise.Change || a.Verdict == advise.Bracket {
		p.Drive.Predicted, p.Coast.Predicted = predictedPatch(a.Drive), predictedPatch(a.Coast)
		p.Change = &picture.Change{Pinion: a.Pinion, Ring: a.Ring}
		if a.Backlash.Mean != 0 {
			p.Backlash = &picture.Backlash{Value: a.Backlash.Mean, Low: a.Backlash.Low, High: a.Backlash.High}
		}
	}
	return []Picture{{Name: "pattern", Pattern: p}}
}

// saidSlack is how far a pattern told in words may be off, of half the tooth.
const saidSlack = 0.25

func reportedPatch(v voice, r *Reading) *picture.Patch {
	m := markOf(r)
	if !m.Known() {
		return nil
	}
	p := patchAt(m)
	p.Slack = picture.Point{Along: saidSlack, Across: saidSlack}
	p.Words = v.where(*r)
	return p
}

func predictedPatch(m advise.Mark) *picture.Patch {
	if !m.Known() {
		return nil
	}
	return patchAt(m)
}

func patchAt(m advise.Mark) *picture.Patch {
	within := func(v float64) float64 { return max(-1.2, min(1.2, v)) }
	return &picture.Patch{Centre: picture.Point{Along: within(m.Along), Across: within(m.Across)}}
}
