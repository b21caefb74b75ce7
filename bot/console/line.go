package console

import (
	"fmt"
	"regexp"
	"strings"
	"time"
)

// input is a typed line, taken apart.
type input struct {
	as    string // a person to speak as from here on
	place string // a place to go to: shop or #12
	clock string // how far to move the clock on; "?" asks for it
	quit  bool
	edit  bool   // text is the new wording of what the person said last
	file  string // a picture that is sent with it
	text  string // what is said
}

var (
	prefix   = regexp.MustCompile(`^(@?[\pL\pN_.-]+|#[0-9]+)(?: (#[0-9]+|shop|@[\pL\pN_.-]+))?>(?:[ \t]+|$)`)
	clockArg = regexp.MustCompile(`^clock(?:\s+(\S+))?$`)
	photoArg = regexp.MustCompile(`^photo\s+(?:"([^"]+)"|(\S+))(?:\s+(.*))?$`)
	picture  = regexp.MustCompile(`(?i)\.(?:jpe?g|png|webp|heic)$`)
)

// parseLine takes a line apart. People and places are switched by "mentor>" and
// "#12>", alone or before what is said; "ann #12>" does both, as the prompt shows it.
func parseLine(text string, people []string) (input, error) {
	var in input
	text = strings.TrimRight(text, " \t\r")
	if m := prefix.FindStringSubmatch(text); m != nil {
		text = text[len(m[0]):]
		in.place = m[2]
		switch name := m[1]; {
		case name == "edit":
			in.edit = true
		case strings.HasPrefix(name, "#") || name == string(Shop):
			in.place = name
		default:
			alone := strings.HasPrefix(name, "@") || m[2] == "@"+name
			name = strings.TrimPrefix(name, "@")
			for _, p := range people {
				if strings.EqualFold(p, name) {
					in.as = p
				}
			}
			if in.as != "" && alone {
				in.place = string(private(in.as))
			} else if strings.HasPrefix(in.place, "@") {
				return in, fmt.Errorf("%s is what %s alone is told", in.place, in.place[1:])
			}
			if in.as == "" {
				return in, fmt.Errorf("there is no %q here; there are %s", name, strings.Join(people, ", "))
			}
		}
		in.say(text)
		return in, nil
	}
	word := strings.ToLower(strings.TrimSpace(text))
	switch m := clockArg.FindStringSubmatch(word); {
	case word == "quit", word == "exit":
		in.quit = true
	case m != nil:
		in.clock = m[1]
		if in.clock == "" {
			in.clock = "?"
		} else if _, err := shift(in.clock); err != nil {
			return in, err
		}
	default:
		in.say(text)
	}
	return in, nil
}

// say takes what is said: words, or "photo FILE words" with a picture's file name, in
// quotes where it has spaces.
func (in *input) say(text string) {
	in.text = text
	if m := photoArg.FindStringSubmatch(text); m != nil && picture.MatchString(m[1]+m[2]) {
		in.file, in.text = m[1]+m[2], m[3]
	}
}

// silent says whether nothing is said or sent.
func (in input) silent() bool { return strings.TrimSpace(in.text) == "" && in.file == "" }

// shift reads how far the clock is moved: +26h, +90m, +2d.
func shift(text string) (time.Duration, error) {
	v := strings.TrimPrefix(text, "+")
	if days, ok := strings.CutSuffix(v, "d"); ok {
		d, err := time.ParseDuration(days + "h")
		if err == nil && d >= 0 && d < 10000*time.Hour {
			return d * 24, nil
		}
	} else if d, err := time.ParseDuration(v); err == nil && d >= 0 && d < 240000*time.Hour {
		return d, nil
	}
	return 0, fmt.Errorf("the clock moves on by hours and minutes: clock +26h, not %q", text)
}
