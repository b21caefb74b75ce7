package dialogs

import (
	"fmt"
	"strings"

	"shimwright/calc/fastener"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
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

// askExtension answers "60 ftlb with a 2 in extension on a 14 in wrench".
func (t *turn) askExtension(r *listen.Reckoning) ([]string, error) {
	torque, typed, ok := given(r, listen.PartTorque, torqueFigure)
	if !ok {
		return nil, errFigures
	}
	wrench, _, haveWrench := given(r, listen.PartWrench, lengthFigure)
	ext, typedLength, haveExt := given(r, listen.PartExtension, lengthFigure)
	if !haveWrench || !haveExt {
		return []string{t.text("ask-figures.extension_lengths"), t.text("ask-figures.extension_socket")}, nil
	}
	angle, _ := r.Figure(listen.PartAngle)
	set, err := fastener.Setting(torque, wrench, ext, unit.Deg(angle.Value))
	if err != nil {
		return nil, err
	}
	reached, err := fastener.Reached(torque, wrench, ext, unit.Deg(angle.Value))
	if err != nil {
		return nil, err
	}
	lines := []string{t.text("ask-figures.extension", "set", torqueIn(set, typed), "at", torqueOnly(torque, typed))}
	how := t.text("ask-figures.extension_straight")
	switch {
	case angle.Value == 180:
		how = t.text("ask-figures.extension_back")
	case angle.Value != 0:
		how = t.text("ask-figures.extension_angle", "degrees", figures(angle.Value, 0))
	}
	lines = append(lines, t.text("ask-figures.extension_why", "wrench", lengthIn(wrench, typedLength), "extension", lengthIn(ext, typedLength), "how", how))
	if figures(float64(reached), 1) != figures(float64(torque), 1) {
		lines = append(lines, t.text("ask-figures.extension_uncorrected", "at", torqueOnly(torque, typed), "reached", torqueIn(reached, typed)))
	}
	return append(lines, t.text("ask-figures.extension_socket")), nil
}
