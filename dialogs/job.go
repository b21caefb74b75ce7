package dialogs

import (
	"errors"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// Job is what the entries of a log add up to. It holds no sheet and no rules:
// folding the same log always gives the same job.
type Job struct {
	ID       string
	Number   int
	Sheet    string
	Title    string
	OpenedAt time.Time
	OpenedBy string
	Made     Made // by what it was begun

	Log   []Entry
	Slots map[Slot]Reading // the latest live reading of each slot
	Facts map[string]Fact

	Trials       []Trial // at least one; the last is what is in the housing
	Moves        []Move
	Advice       *Advised // the latest recommendation
	Instructions []Instruction
	Warnings     []Warning
	Reviews      []Review
	Held         bool                // a mentor said hold
	TakenBy      string              // the mentor who does it themself, empty for nobody
	Watched      map[string][]StepID // steps at which a mentor looks at a person's figures, where that is not by role
	Teach        map[string]bool     // who is asked back; the empty name is whoever works on the job
	Quiz         *Quiz               // the latest question back, nil for none
	Open         *Question           // the question waiting for its answer
	Photos       []JobPhoto

	Skipped  map[string]Skip
	Reopened map[StepID]uint64
	Finished bool // the trial loop ended in a good verdict

	Drags   []DragLook         // looks at the final pinion drag, on the sleeve that is in
	Torqued map[string]SignOff // fasteners signed off, by their name on the sheet
	Damage  []Damage           // what was found worn or broken, in the order told
	Fits    map[string]Fitting // parts that are warmed or chilled to go on, by piece

	Closed       bool
	ClosedReason string
	Erased       bool      // what could name a person was taken out
	ErasedBy     string    // who asked for it
	TakenUp      time.Time // when it was last taken up after closing, zero for never

	BreakIn *BreakIn // nil until it begins

	Reminded map[string]Reminded // timers that were said, by key
	PutOff   map[string]PutOff   // timers that somebody wants later, by key

	// ReadOnly says why nothing may be appended: the log has entries of a newer
	// version. They are kept byte for byte.
	ReadOnly string

	messages   map[string]bool
	photosEver int // deleted ones too

	nut    unit.Torque // of the pinion nut, said since the last look at the drag
	turned unit.Angle  // of the pinion nut since the first look
	// stripped is the entry that last changed the preload pack or the pinion shim
	// under a drag on record.
	stripped uint64
	salts    []string // by which ids of messages were hashed when they were taken out
}

// entryMeta is who entered something, when, and as which entry.
type entryMeta struct {
	Seq     uint64
	By      string
	At      time.Time
	Message string // the platform's id of what brought it
}

func metaOf(e Entry) entryMeta { return entryMeta{Seq: e.Seq, By: e.By, At: e.At, Message: e.Message} }

// Version is the number of entries of the log.
func (j *Job) Version() uint64 { return uint64(len(j.Log)) }

// Heard says whether a message of the platform is in the log already.
func (j *Job) Heard(message string) bool {
	if message == "" {
		return false
	}
	for _, salt := range j.salts {
		if j.messages[GoneID(salt, message)] {
			return true
		}
	}
	return j.messages[message]
}

// Hidden gives what may stand for a message's id in the job's records since its
// personal data were taken out.
func (j *Job) Hidden(message string) []string {
	var out []string
	for _, salt := range j.salts {
		out = append(out, GoneID(salt, message))
	}
	return out
}

// Trial is the trial assembly that is in the housing now.
func (j *Job) Trial() *Trial { return &j.Trials[len(j.Trials)-1] }

// Fold adds a log up to a job. It errs where a record is no entry at all; an
// entry of an unknown kind makes the job read-only.
func Fold(id string, records [][]byte) (*Job, error) {
	j := &Job{ID: id}
	if err := j.Extend(records); err != nil {
		return nil, err
	}
	return j, nil
}

// Extend adds the records that follow those already folded. The result is the
// same as folding them all at once.
func (j *Job) Extend(records [][]byte) error {
	for _, record := range records {
		e, err := decode(record, j.Version()+1)
		if err := j.log(e, err); err != nil {
			return err
		}
	}
	j.refold()
	return nil
}

// log appends an entry as it was read; one of a kind this version does not know
// makes the job read-only.
func (j *Job) log(e Entry, err error) error {
	if errors.Is(err, errUnknownKind) {
		if j.ReadOnly == "" {
			j.ReadOnly = err.Error()
		}
		err = nil
	}
	if err == nil {
		j.Log = append(j.Log, e)
	}
	return err
}

// With gives the job as it would be with the events appended: what folding their
// records gives. The receiver is not changed.
func (j *Job) With(events []Event) (*Job, error) {
	next := &Job{ID: j.ID, ReadOnly: j.ReadOnly, Log: j.Log[:len(j.Log):len(j.Log)]}
	for _, event := range events {
		e, err := entryOf(event, next.Version()+1)
		if err := next.log(e, err); err != nil {
			return nil, err
		}
	}
	next.refold()
	return next, nil
}

// refold brings the state up from the entries: first which of them still hold,
// then those in order.
func (j *Job) refold() {
	keep := Job{ID: j.ID, Log: j.Log, ReadOnly: j.ReadOnly}
	*j = keep
	j.Slots, j.Facts = map[Slot]Reading{}, map[string]Fact{}
	j.Skipped, j.Reopened = map[string]Skip{}, map[StepID]uint64{}
	j.Reminded, j.PutOff = map[string]Reminded{}, map[string]PutOff{}
	j.Watched, j.Teach = map[string][]StepID{}, map[string]bool{}
	j.messages, j.Torqued = map[string]bool{}, map[string]SignOff{}
	j.Fits = map[string]Fitting{}
	j.Trials = []Trial{{No: 1}}

	dead := map[uint64]bool{}
	// Backwards, so that taking a correction back brings to life what it took.
	for i := len(j.Log) - 1; i >= 0; i-- {
		if r, ok := j.Log[i].payload.(*retracted); ok && !dead[j.Log[i].Seq] {
			for _, seq := range r.Entries {
				dead[seq] = true
			}
		}
	}
	live := make([]Entry, len(j.Log))
	for i, e := range j.Log {
		e.Live = !dead[e.Seq]
		live[i] = e
		if e.Message != "" {
			j.messages[e.Message] = true
		}
		if e.Live && e.payload != nil {
			e.payload.apply(j, e)
		} else if a, ok := e.payload.(*attached); ok {
			j.photosEver += len(a.Photos) // so that the later ones keep their numbers
		}
	}
	j.Log = live
}

// put files a reading, and brings it into the trial it was made on.
func (j *Job) put(r Reading) {
	j.Slots[r.Slot] = r
	switch r.Slot {
	case TrialBacklash, TrialDrive, TrialCoast, TrialDrag:
		t := j.Trial()
		switch r.What {
		case listen.Backlash:
			t.round(r)
		case listen.PatternDrive, listen.PatternCoast:
			t.mark(&r)
		case listen.PinionDrag:
			t.Drag = &r
		}
	case FinalBacklash, FinalDrive, FinalCoast:
		j.toFinal(r.Seq)
		t := j.Trial()
		switch r.Slot {
		case FinalBacklash:
			t.round(r)
		case FinalDrive, FinalCoast:
			t.mark(&r)
		}
	case SetupHeight, FinalHeight:
		if t := j.Trial(); t.Final && !t.read() {
			t.Build.Taller = j.taller()
		}
	case FinalNut:
		j.toFinal(r.Seq)
		j.nut, _ = r.Torque()
	case FinalTurn:
		if len(r.Values) == 1 && len(j.Drags) > 0 {
			j.turned += unit.Deg(r.Values[0])
		}
	case FinalDrag:
		j.toFinal(r.Seq)
		j.lookAtDrag(r)
	case FinalTotal, FinalEndPlay, FinalPreload:
		j.toFinal(r.Seq)
	case FinalPinion, FinalLeft, FinalRight, FinalPack:
		length, ok := r.Length()
		if !ok {
			return
		}
		j.toFinal(r.Seq)
		if s := j.Trial().Build.stack(r.Slot); s.Known && s.Thickness != length && j.Trial().read() {
			j.newTrial(r.Seq)
		}
		s := j.Trial().Build.stack(r.Slot)
		if changed := s.Known && s.Thickness != length; changed {
			j.pinionOut(r.Seq, r.Slot == FinalPinion, r.Slot == FinalPack)
		}
		s.set(length)
	case BuildPinion, BuildLeft, BuildRight, BuildPreload:
		length, ok := r.Length()
		if !ok {
			return
		}
		if s := j.Trial().Build.stack(r.Slot); s.Known && s.Thickness != length && j.Trial().read() {
			j.newTrial(r.Seq)
		}
		j.Trial().Build.stack(r.Slot).set(length)
		if a := j.Advice; a != nil && a.Trial == 0 && r.Slot == BuildPinion {
			a.Built = true
		}
	}
}

// merge joins lash readings that come one by one round the ring: readings at
// named positions are added to those at other positions. Everything else
// replaces what was there.
func merge(before *Reading, r Reading) *Reading {
	if before == nil || len(r.Positions) != len(r.Values) || len(before.Positions) != len(before.Values) || len(r.Positions) == 0 || before.Unit != r.Unit {
		return &r
	}
	out := r
	out.Values, out.Positions = nil, nil
	out.Of = append(append([]uint64(nil), before.Of...), before.Seq)
	for i, p := range before.Positions {
		if !contains(r.Positions, p) {
			out.Values = append(out.Values, before.Values[i])
			out.Positions = append(out.Positions, p)
		}
	}
	out.Values = append(out.Values, r.Values...)
	out.Positions = append(out.Positions, r.Positions...)
	return &out
}

func contains(list []string, s string) bool {
	for _, have := range list {
		if have == s {
			return true
		}
	}
	return false
}

// startTrial begins a new trial assembly where the present one has been read;
// changes before the first reading belong to the same build.
func (j *Job) startTrial(e Entry) {
	if j.Trial().read() {
		j.newTrial(e.Seq)
	}
}

func (j *Job) newTrial(seq uint64) {
	last := *j.Trial()
	j.Trials = append(j.Trials, Trial{No: last.No + 1, Build: last.Build, Began: seq, Final: last.Final})
	if !last.Final {
		j.Finished = false
	}
	j.BreakIn = nil // what is built anew is broken in anew
}
