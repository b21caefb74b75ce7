package listen

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"testing"
)

func TestProbe(t *testing.T) {
	f, err := os.Open("/tmp/rm.txt")
	if err != nil {
		t.Skip()
	}
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		r := ReadRoad(RoadInput{Text: sc.Text(), Units: "inch"})
		data, _ := json.Marshal(short(r))
		fmt.Println(sc.Text(), " => ", string(data))
	}
}

func short(r Road) map[string]any {
	var m map[string]any
	data, _ := json.Marshal(r)
	json.Unmarshal(data, &m)
	for k, v := range m {
		if v == nil || v == false || v == 0.0 || v == "" {
			delete(m, k)
		}
	}
	if r.Distance != nil {
		m["Distance"] = fmt.Sprint(*r.Distance.Value, r.Distance.Unit)
	}
	var h []string
	for _, x := range r.Heat {
		h = append(h, fmt.Sprint(*x.Value, x.Unit, x.Part))
	}
	if h != nil {
		m["Heat"] = h
	}
	return m
}
