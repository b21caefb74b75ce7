package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// label is one stack for the bench: where it goes and what it is made of.
type label struct {
	place     Slot
	thickness unit.Length
	leaves    []unit.Length
	was       unit.Length // in the trial, 0 where it is what is in now
}

// labelsNow lists every stack of the job: what stands in the housing while it is
// being tried, and what goes in for good once the trial is finished.
func labelsNow(s *rules.Sheet, j *Job) []label {
	b := j.Trial().Build
	var out []label
	for _, place := range []Slot{FinalPinion, FinalPack, FinalLeft, FinalRight} {
		st := b.stack(place)
		p, planned := plannedFor(s, j, place)
		measured, isIn := slotLength(j, place)
		switch {
		case isIn && (!planned || !near2(measured, p.Thickness)):
			out = append(out, label{place: place, thickness: st.Thickness, leaves: leavesOf(s, place, st.Thickness)})
		case planned && j.Finished:
			leaves, built := kitFor(s, j, place)
			l := label{place: place, thickness: built, leaves: leaves, was: p.Trial}
			if len(l.leaves) == 0 {
				l.leaves = leavesOf(s, place, l.thickness)
			}
			out = append(out, l)
		case st.Known:
			out = append(out, label{place: place, thickness: st.Thickness, leaves: leavesOf(s, place, st.Thickness)})
		}
	}
	return out
}

// leavesOf makes a stack of the kit, none where the kit cannot make it.
func leavesOf(s *rules.Sheet, place Slot, thickness unit.Length) []unit.Length {
	kit := s.Kit.Side
	switch place {
	case FinalPinion:
		kit = s.Kit.Pinion
	case FinalPack:
		kit = s.Kit.Preload
	}
	leaves, built := kitStack(kit, thickness, s.Carrier.MaxLeaves)
	if !near2(built, thickness) {
		return nil
	}
	return leaves
}

// labels says where every shim goes, with a picture to lay beside the parts.
func (t *turn) labels() {
	t.noNext = true
	all := labelsNow(t.sheet, t.job)
	notches := t.job.Trial().Build
	if len(all) == 0 && notches.LeftNotches == 0 && notches.RightNotches == 0 {
		t.tell(t.text("bench.no_labels"))
		return
	}
	pic := &picture.StacksPicture{Units: t.voice.own, Note: t.text("bench.seen_from")}
	for _, l := range all {
		name := t.placeWord(l.place)
		key := t.text("bench.label", "name", name, "length", t.voice.length(l.thickness), "leaves", t.leafWords(l.leaves))
		if l.was > 0 && !near2(l.was, l.thickness) {
			key += t.text("bench.was", "length", t.voice.length(l.was))
		}
		t.tell(key)
		st := picture.Stack{Name: name}
		leaves := l.leaves
		if len(leaves) == 0 && l.thickness > 0 {
			leaves = []unit.Length{l.thickness}
		}
		for _, leaf := range leaves {
			st.Leaves = append(st.Leaves, picture.Leaf{Thickness: leaf})
		}
		if l.was > 0 && !near2(l.was, l.thickness) {
			was := l.was
			st.Was = &was
		}
		pic.Stacks = append(pic.Stacks, st)
	}
	if n, ok := preloadNotches(t.sheet); ok {
		t.tell(t.text("bench.notches", "left", number(notches.LeftNotches, ""), "right", number(notches.RightNotches, ""), "preload", t.voice.length(n.Given)))
	}
	if t.sheet.Pinion.Shim == rules.UnderCartridge {
		t.tell(t.text("bench.cartridge"))
	}
	if len(pic.Stacks) > 0 {
		t.pictures = append(t.pictures, Picture{Name: "labels", Stacks: pic})
	}
}

// leafWords writes the leaves of a label: ": 0.200 + 0.041".
func (t *turn) leafWords(leaves []unit.Length) string {
	if len(leaves) < 2 {
		return ""
	}
	return ": " + leafSum(t.voice, leaves)
}

// placeWord names the place of a stack in a word.
func (t *turn) placeWord(place Slot) string {
	switch place {
	case FinalPinion:
		return t.text("bench.pinion")
	case FinalPack:
		return t.text("bench.pack")
	case FinalLeft:
		return t.text("bench.left")
	}
	return t.text("bench.right")
}
