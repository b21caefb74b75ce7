package rules

import (
	"fmt"
	"strconv"
	"strings"

	"shimwright/calc/unit"
)

// Road distances. Source: NIST SP 811 (2008) appendix B.8, mile 1.609344 km.
const (
	kilometre unit.Length = 1e6
	mile      unit.Length = 1.609344e6
)

// parseRoad reads a road distance in mi or km.
func parseRoad(text string) (unit.Length, error) {
	number, name, _ := strings.Cut(strings.TrimSpace(text), " ")
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err == nil && v >= 0 && v <= 1e6 {
		switch strings.TrimSpace(name) {
		case "mi":
			return unit.Length(v) * mile, nil
		case "km":
			return unit.Length(v) * kilometre, nil
		}
	}
	return 0, fmt.Errorf("%q is not a distance in mi or km", text)
}
