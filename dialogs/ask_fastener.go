package dialogs

import (
	"fmt"
	"strings"

	"shimwright/calc/fastener"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// finishName says a finish in the person's language.
func (t *turn) finishName(f fastener.Finish) string {
	switch f {
	case fastener.Lubricated:
		return t.text("ask-figures.lubricated")
	case fastener.Zinc:
		return t.text("ask-figures.zinc")
	}
	return t.text("ask-figures.dry")
}

// gradeName says a grade: grade 8, or class 10.9.
func (t *turn) gradeName(g fastener.Grade) string {
	if number, ok := strings.CutPrefix(string(g), "grade "); ok {
		return t.text("ask-figures.grade", "n", number)
	}
	return t.text("ask-figures.class", "n", string(g))
}

// boltThreads gives the threads of the question; a size alone stands for its coarse
// and its fine thread.
func boltThreads(r *listen.Reckoning) ([]fastener.Thread, error) {
	var out []fastener.Thread
	for _, p := range []listen.Part{listen.PartThread, listen.PartThreadTo} {
		text := r.Word(p)
		if text == "" {
			continue
		}
		thread, err := fastener.ParseThread(text)
		if err == nil {
			out = append(out, thread)
			continue
		}
		for _, series := range []string{" coarse", " fine"} {
			if thread, err = fastener.ParseThread(text + series); err != nil {
				return nil, err
			}
			out = append(out, thread)
		}
	}
	return out, nil
}

// askBolt answers "torque 7/16-20 grade 8 lubed": torque and clamp at 75 % of
// proof. Where series, grade or finish was not said, the usual ones stand side by
// side.
func (t *turn) askBolt(r *listen.Reckoning) ([]string, error) {
	threads, err := boltThreads(r)
	if err != nil {
		return nil, err
	}
	if len(threads) == 0 {
		return []string{t.text("ask-figures.which_thread")}, nil
	}
	grades := []fastener.Grade{fastener.Grade5, fastener.Grade8}
	if threads[0].Metric {
		grades = []fastener.Grade{fastener.Class88, fastener.Class109}
	}
	if g := r.Word(listen.PartGrade); g != "" {
		grade, err := fastener.ParseGrade(g)
		if err != nil {
			return nil, err
		}
		grades = []fastener.Grade{grade}
	}
	finishes := []fastener.Finish{fastener.Dry, fastener.Lubricated}
	if f := r.Word(listen.PartFinish); f != "" {
		finishes = []fastener.Finish{fastener.Finish(f)}
	}
	if torque, typed, ok := given(r, listen.PartTorque, torqueFigure); ok {
		return t.askClamp(threads[0], grades[len(grades)-1], finishes, torque, typed)
	}
	typed := t.typedBolt(threads[0].Metric)
	var lines []string
	var clamp unit.Force
	for _, thread := range threads {
		for _, g := range grades {
			var parts []string
			for _, f := range finishes {
				torque, force, k, err := fastener.Usual(thread, g, f)
				if err != nil {
					return nil, err
				}
				clamp = force
				parts = append(parts, t.text("ask-figures.bolt_part", "torque", torqueIn(torque, typed), "finish", t.finishName(f), "k", fmt.Sprintf("%.2f", k)))
			}
			lines = append(lines, t.text("ask-figures.bolt", "thread", thread.Name(), "grade", t.gradeName(g), "torques", strings.Join(parts, ", ")))
		}
	}
	if len(lines) == 1 {
		lines = append(lines, t.text("ask-figures.bolt_clamp", "clamp", forceIn(clamp, pick(typed == "N·m", "N", "lbf"))))
	} else {
		lines = append(lines, t.text("ask-figures.bolt_proof"))
	}
	return append(lines, t.text("ask-figures.bolt_manual")), nil
}

// askClamp answers what a torque does to a thread.
func (t *turn) askClamp(thread fastener.Thread, g fastener.Grade, finishes []fastener.Finish, torque unit.Torque, typed string) ([]string, error) {
	proof, err := fastener.Proof(thread, g)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, f := range finishes {
		k, err := fastener.K(f)
		if err != nil {
			return nil, err
		}
		clamp, err := fastener.ClampAt(thread, torque, k)
		if err != nil {
			return nil, err
		}
		lines = append(lines, t.text("ask-figures.clamp", "torque", torqueIn(torque, typed), "thread", thread.Name(), "finish", t.finishName(f),
			"clamp", forceIn(clamp, pick(typed == "N·m", "N", "lbf")), "part", figures(100*float64(clamp/proof), 0), "grade", t.gradeName(g)))
	}
	return append(lines, t.text("ask-figures.bolt_manual")), nil
}

// askFinish answers "78 dry, what is that lubed".
func (t *turn) askFinish(r *listen.Reckoning) ([]string, error) {
	torque, typed, ok := given(r, listen.PartTorque, torqueFigure)
	was, is := fastener.Finish(r.Word(listen.PartFinish)), fastener.Finish(r.Word(listen.PartFinishTo))
	if !ok {
		return nil, errFigures
	}
	next, err := fastener.Rescale(torque, was, is)
	if err != nil {
		return nil, err
	}
	k1, err := fastener.K(was)
	if err != nil {
		return nil, err
	}
	k2, err := fastener.K(is)
	if err != nil {
		return nil, err
	}
	return []string{
		t.text("ask-figures.finish", "torque", torqueOnly(torque, typed), "was", t.finishName(was), "next", torqueIn(next, typed), "is", t.finishName(is)),
		t.text("ask-figures.finish_why", "k_was", fmt.Sprintf("%.2f", k1), "k_is", fmt.Sprintf("%.2f", k2)),
	}, nil
}

// extended is a torque wrench with an extension, as a question has it.
type extended struct {
	torque    unit.Torque // 0 where it was not said
	typed     string      // its unit
	lever     Lever       // without what was shown
	length    string      // the unit of its lengths
	known     bool        // both lengths are, or none matters
	straight  bool        // along the bolt: nothing to correct
	fastener  rules.Fastener
	fastened  bool // a fastener of the sheet is named
	byDrag    bool // it is the pinion nut, which goes by its drag
	told      bool // it was done
	ambiguous bool // neither length nor kind of extension was said
}

func (t *turn) extendedOf(r *listen.Reckoning) extended {
	var x extended
	x.torque, x.typed, _ = given(r, listen.PartTorque, torqueFigure)
	wrench, typedWrench, haveWrench := given(r, listen.PartWrench, lengthFigure)
	ext, typedExt, haveExt := given(r, listen.PartExtension, lengthFigure)
	angle, _ := r.Figure(listen.PartAngle)
	x.lever = Lever{Wrench: wrench, Extension: ext, Angle: angle.Value}
	x.length = typedExt
	if x.length == "" {
		x.length = typedWrench
	}
	x.straight = r.Word(listen.PartStraight) != ""
	x.known = haveWrench && haveExt || x.straight || angle.Value == 90
	x.told = r.Word(listen.PartTold) != ""
	x.ambiguous = !haveWrench && angle.Value == 0
	if part := r.Word(listen.PartFastener); part != "" {
		x.fastener, x.fastened = fastenerOf(t.sheet, part)
		x.byDrag = x.fastened && x.fastener.Name == nutName && t.sheet.Preload.By == rules.CrushSleeve
	}
	if x.typed == "" {
		x.typed = pick(t.voice.own == unit.Metric, "N·m", "ft·lbf")
	}
	return x
}

// plain says whether the wrench shows what comes to the bolt.
func (x extended) plain() bool { return x.straight || x.lever.Angle == 90 }

// reaches gives what comes to the bolt where the wrench shows a torque.
func (x extended) reaches(shown unit.Torque) (unit.Torque, error) {
	if x.plain() {
		return shown, nil
	}
	return x.lever.reached(shown)
}

// setting gives what the wrench has to show for a torque at the bolt.
func (x extended) setting(at unit.Torque) (unit.Torque, error) {
	if x.plain() {
		return at, nil
	}
	return x.lever.setting(at)
}

// askExtension answers "60 ftlb with a 2 in extension on a 14 in wrench", and files
// "caps torqued 60 with a 2 in crow foot on a 14 in wrench" in a job.
func (t *turn) askExtension(r *listen.Reckoning) ([]string, error) {
	x := t.extendedOf(r)
	if x.byDrag && (x.told || x.torque == 0) {
		return []string{t.text("fasteners.nut_by_drag")}, nil
	}
	if x.torque == 0 && !x.fastened {
		return nil, errFigures
	}
	if !x.known {
		lines := []string{t.extensionAsk(r)}
		if x.ambiguous {
			lines = append(lines, t.text("fasteners.which_kind"))
		}
		return lines, nil
	}
	if x.told && x.fastened && x.torque > 0 && t.inJob() {
		return nil, t.torquedWith(x)
	}
	if x.torque == 0 {
		return t.extensionRange(x)
	}
	return t.extensionLines(x)
}

// inJob says whether there is a job to file something in.
func (t *turn) inJob() bool { return t.job.Number > 0 || len(t.job.Log) > 1 || t.job.Title != "" }

// extensionAsk asks for the length that is missing.
func (t *turn) extensionAsk(r *listen.Reckoning) string {
	_, wrench := r.Figure(listen.PartWrench)
	_, ext := r.Figure(listen.PartExtension)
	switch {
	case ext && !wrench:
		return t.text("ask-figures.extension_wrench")
	case wrench && !ext:
		return t.text("ask-figures.extension_length")
	}
	return t.text("ask-figures.extension_lengths")
}

// extensionLines says what to set the wrench to for a torque.
func (t *turn) extensionLines(x extended) ([]string, error) {
	if x.plain() {
		return []string{t.text("ask-figures.extension", "set", torqueIn(x.torque, x.typed), "at", torqueOnly(x.torque, x.typed)), t.plainWord(x)}, nil
	}
	set, err := x.setting(x.torque)
	if err != nil {
		return nil, err
	}
	reached, err := x.reaches(x.torque)
	if err != nil {
		return nil, err
	}
	lines := []string{t.text("ask-figures.extension", "set", torqueIn(set, x.typed), "at", torqueOnly(x.torque, x.typed)), t.extensionWhy(x)}
	if figures(float64(reached), 1) != figures(float64(x.torque), 1) {
		lines = append(lines, t.text("ask-figures.extension_uncorrected", "at", torqueOnly(x.torque, x.typed), "reached", torqueIn(reached, x.typed)))
	}
	return append(lines, t.text("ask-figures.extension_socket")), nil
}

func (t *turn) plainWord(x extended) string {
	if x.straight {
		return t.text("fasteners.no_correction")
	}
	return t.text("fasteners.square")
}

func (t *turn) extensionWhy(x extended) string {
	how := t.text("ask-figures.extension_straight")
	switch {
	case x.lever.Angle == 180:
		how = t.text("ask-figures.extension_back")
	case x.lever.Angle != 0:
		how = t.text("ask-figures.extension_angle", "degrees", figures(x.lever.Angle, 0))
	}
	return t.text("ask-figures.extension_why", "wrench", lengthIn(x.lever.Wrench, x.length), "extension", lengthIn(x.lever.Extension, x.length), "how", how)
}

// extensionRange says what to set the wrench to for the sheet's torque of a fastener.
func (t *turn) extensionRange(x extended) ([]string, error) {
	low, err := x.setting(x.fastener.Low)
	if err != nil {
		return nil, err
	}
	high, err := x.setting(x.fastener.High)
	if err != nil {
		return nil, err
	}
	lines := []string{t.text("fasteners.set_for", "range", settingSpan(t.voice, low, high), "at", torqueSpan(t.voice, x.fastener.Low, x.fastener.High), "name", t.voice.axleText(x.fastener.Name))}
	if x.plain() {
		lines = append(lines, t.plainWord(x))
	} else {
		lines = append(lines, t.extensionWhy(x))
	}
	return append(lines, t.text("question.torque", "name", t.voice.axleText(x.fastener.Name), "torque", torqueSpan(t.voice, x.fastener.Low, x.fastener.High), "threads", t.voice.threadWords(x.fastener))), nil
}

// torquedWith files what was torqued with an extension on the wrench.
func (t *turn) torquedWith(x extended) error {
	at, err := x.reaches(x.torque)
	if err != nil {
		return err
	}
	p := put{torque: at, unit: x.typed, said: torqueOnly(x.torque, x.typed), finish: t.finishSaid()}
	if !x.plain() {
		p.lever = x.lever
		p.lever.Shown = x.torque
		p.said = t.text("fasteners.at_bolt", "shown", torqueOnly(x.torque, x.typed), "at", torqueOnly(at, x.typed))
	}
	if err := t.torquedTo(x.fastener, p); err != nil {
		return err
	}
	if x.plain() {
		t.tell(t.plainWord(x))
	}
	t.noNext = false
	return nil
}
