package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/rules"
)

const recommendUsage = `usage: shimwright recommend --sheet NAME
         [--shop DIR] < attempts.json

The next change from all trial assemblies so
far, as JSON. Standard input:

{"attempts": [{
  "shims": {"pinion": 0.030,
            "left": 0.250, "right": 0.245},
  "unit": "in",
  "backlash": [0.014, 0.014, 0.015, 0.014],
  "drive": {"along": "heel",
            "across": "face"},
  "coast": {"along": "heel",
            "across": "face"}}]}

unit     in or mm, of shims and backlash
notches  {"left": 0, "right": 0} in place of
         left and right shims where the sheet
         has adjusters; tightened is positive
along    toe, center, heel, or -1 to 1
across   face, center, flank, or a number
         from -1 (root) to 1 (top)
or {"cell": 1..9}: 1 toe top, 3 heel top,
         5 middle, 7 toe root, 9 heel root
sure     true: read again, and it stands
reseated true: a bearing was changed or
         seated anew before it

Beside attempts, each with its own unit:
used     {"unit", "backlash", "drive",
         "coast"}: where a used set ran before
final_bearings {"unit", "head_taller",
         "ring_shift"}: final head bearing
         against the setup one, and what side
         preload moves the ring gear

Answers: moves in mm, + is deeper and towards
the pinion; shims and notches as they are
to stand after it, shims in the unit given.
backlash_mm is the mean round the ring,
tightest_mm the point the sheet judges by.
A bracket that moves nothing asks for what
look_at names, on the same assembly.

--sheet NAME   the axle sheet
--shop DIR     the shop's folder, whose
               sheets come over the shipped
`

// runRecommend runs the recommend command. It gives the exit code: 0, 1 where the
// input cannot be worked, 2 where it was called wrongly.
func runRecommend(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	name, shop, err := readRecommendFlags(args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(stdout, recommendUsage)
		return exitOK
	}
	if err != nil {
		fmt.Fprintf(stderr, "recommend: %v\nsee shimwright recommend --help\n", err)
		return exitUsage
	}
	out, err := recommend(name, shop, stdin)
	if err != nil {
		fmt.Fprintln(stderr, "recommend:", err)
		return exitFail
	}
	enc := json.NewEncoder(stdout)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(out); err != nil {
		fmt.Fprintln(stderr, "recommend:", err)
		return exitFail
	}
	return exitOK
}

func readRecommendFlags(args []string) (sheet, shop string, err error) {
	flags := flag.NewFlagSet("recommend", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.StringVar(&sheet, "sheet", "", "")
	flags.StringVar(&shop, "shop", "", "")
	switch err := flags.Parse(args); {
	case err != nil:
		return "", "", err
	case flags.NArg() > 0:
		return "", "", fmt.Errorf("%q is not an option", flags.Arg(0))
	case sheet == "":
		return "", "", errors.New("which axle? --sheet NAME; shimwright sheets list names them")
	}
	return sheet, shop, nil
}

func recommend(name, shop string, stdin io.Reader) (recommendedJSON, error) {
	var folder fs.FS
	if shop != "" {
		dir, err := openFolder(shop)
		if err != nil {
			return recommendedJSON{}, err
		}
		folder = dir
	}
	book, _ := rules.LoadBook(folder)
	sheet, err := book.Sheet(name)
	if err != nil {
		return recommendedJSON{}, err
	}
	in, err := readAttempts(stdin)
	if err != nil {
		return recommendedJSON{}, err
	}
	req, err := in.request(sheet)
	if err != nil {
		return recommendedJSON{}, err
	}
	a, err := advise.Recommend(req)
	if err != nil {
		return recommendedJSON{}, err
	}
	return in.answer(sheet, req, a), nil
}

// recommendedJSON is what recommend prints. Lengths are in mm, but those of
// shims and leaves, which are in the unit of the last attempt.
type recommendedJSON struct {
	Verdict    advise.Verdict       `json:"verdict"`
	PinionMove float64              `json:"pinion_move_mm"`
	RingMove   float64              `json:"ring_move_mm"`
	Unit       string               `json:"unit"`
	Shims      map[string]float64   `json:"shims,omitempty"`
	Notches    map[string]float64   `json:"notches,omitempty"`
	Leaves     map[string][]float64 `json:"leaves,omitempty"`
	Misses     map[string]float64   `json:"misses,omitempty"` // built less wanted, where the kit does not reach
	Predicted  predictedJSON        `json:"predicted"`
	Chance     float64              `json:"chance_in_limits"`
	Why        string               `json:"why"`
	Doubt      string               `json:"doubt,omitempty"`
	LookAt     []string             `json:"look_at,omitempty"`
	Final      *finalAnswerJSON     `json:"final,omitempty"`
}

type predictedJSON struct {
	Backlash intervalJSON     `json:"backlash_mm"` // the mean round the ring
	Tightest intervalJSON     `json:"tightest_mm"` // at the point the sheet judges by
	Drive    patternPlaceJSON `json:"drive"`
	Coast    patternPlaceJSON `json:"coast"`
}

type intervalJSON struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// patternPlaceJSON is a predicted pattern's centre with the range that holds
// eight times in ten.
type patternPlaceJSON struct {
	Along      float64 `json:"along"`
	Across     float64 `json:"across"`
	AlongLow   float64 `json:"along_low"`
	AlongHigh  float64 `json:"along_high"`
	AcrossLow  float64 `json:"across_low"`
	AcrossHigh float64 `json:"across_high"`
}

type finalAnswerJSON struct {
	ShimMM   float64      `json:"pinion_shim_mm"`
	Backlash intervalJSON `json:"backlash_mm"`
	AsIs     intervalJSON `json:"backlash_as_is_mm"`
}

// answer writes an advice in the units of the request.
func (in attemptsJSON) answer(s *rules.Sheet, req advise.Request, a advise.Advice) recommendedJSON {
	given := in.Attempts[len(in.Attempts)-1]
	back := func(l unit.Length) float64 { return l.MM() }
	switch length, _ := lengthIn(given.Unit); {
	case length(1) == unit.Inch(1):
		back = func(l unit.Length) float64 { return l.Inch() }
	case length(1) == unit.Thou(1):
		back = func(l unit.Length) float64 { return l.Thou() }
	}
	out := recommendedJSON{
		Verdict: a.Verdict, PinionMove: tidy(a.Pinion.MM()), RingMove: tidy(a.Ring.MM()), Unit: given.Unit,
		Shims: map[string]float64{}, Leaves: map[string][]float64{}, Misses: map[string]float64{},
		Predicted: predictedJSON{intervalOf(a.Round), intervalOf(a.Backlash), placeOf(a.Drive, a.DriveSpan), placeOf(a.Coast, a.CoastSpan)},
		Chance:    math.Round(a.Chance*1000) / 1000, Why: a.Reason, Doubt: a.Doubt, LookAt: a.Causes,
	}
	if a.Verdict == advise.More {
		// Here nobody can be asked: the present assembly is to be read again.
		out.Verdict = advise.Bracket
	}
	last := req.Attempts[len(req.Attempts)-1].Stacks
	for name, st := range map[string]advise.Stack{"pinion": last.Pinion, "left": last.Left, "right": last.Right, "preload": last.Preload} {
		change := map[string]unit.Length{"pinion": a.PinionShim, "left": a.Left, "right": a.Right, "preload": a.Preload}[name]
		if built, ok := a.Build[name]; ok {
			// What the change comes to, from what is really in there: after a slip that
			// is not what was told.
			out.Shims[name] = tidy(back(built))
		} else if st.Known {
			out.Shims[name] = tidy(back(st.Thickness + change))
		}
	}
	for name, leaves := range a.Leaves {
		for _, l := range leaves {
			out.Leaves[name] = append(out.Leaves[name], tidy(back(l)))
		}
	}
	for name, miss := range a.Misses {
		out.Misses[name] = tidy(back(miss))
	}
	if s.Carrier.By == rules.Adjusters {
		h := in.notchesNow()
		out.Notches = map[string]float64{"left": h[leftNotches] + a.LeftNotches, "right": h[rightNotches] + a.RightNotches}
	}
	if f := a.Final; f != nil {
		out.Final = &finalAnswerJSON{tidy(f.Shim.MM()), intervalOf(f.Backlash), intervalOf(f.AsIs)}
	}
	return out
}

// notchesNow gives where the adjusters stand in the last attempt.
func (in attemptsJSON) notchesNow() housing {
	h := housing{}
	for _, a := range in.Attempts {
		for name, v := range a.Notches {
			if v != nil {
				h[name+" notches"] = *v
			}
		}
	}
	return h
}

// tidy rounds to a tenth of a micron, so that 0.1 + 0.2 reads 0.3.
func tidy(v float64) float64 { return math.Round(v*1e6)/1e6 + 0 }

func intervalOf(i advise.Interval) intervalJSON {
	return intervalJSON{tidy(i.Mean.MM()), tidy(i.Low.MM()), tidy(i.High.MM())}
}

func placeOf(m advise.Mark, s advise.Span) patternPlaceJSON {
	r := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	return patternPlaceJSON{r(m.Along), r(m.Across), r(s.AlongLow), r(s.AlongHigh), r(s.AcrossLow), r(s.AcrossHigh)}
}
