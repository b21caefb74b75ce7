package listen

import "strings"

// Pasted tables and job cards are rewritten as plain lines before they are
// understood: "| backlash | 0.15-0.25 | 0.21 |" under "item, spec, measured"
// becomes "backlash 0.21".

var (
	measuredHeads = wordSet("measured actual reading readings read found value result results got now meas actuals")
	skippedHeads  = wordSet("spec specs limit limits target range min max tolerance book note notes unit units nominal tool by who date time ok")
	placeHeads    = wordSet("pos position bolt spot point place tooth station # no clock location loc")
)

// flattenTables rewrites the tables of a text.
func flattenTables(text string) string {
	if strings.Count(text, "|") < 4 || !strings.Contains(text, "\n") {
		return text
	}
	var out []string
	var head []string
	var columns [][]string
	flush := func() {
		if head == nil {
			return
		}
		out = append(out, tableLines(head, columns)...)
		head, columns = nil, nil
	}
	for line := range strings.SplitSeq(text, "\n") {
		t := strings.TrimSpace(line)
		if ruled(t) {
			continue
		}
		if strings.Count(t, "|") < 2 {
			flush()
			out = append(out, line)
			continue
		}
		cells := strings.Split(strings.Trim(t, "|"), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if head == nil {
			head = cells
		} else {
			columns = append(columns, cells)
		}
	}
	flush()
	return strings.Join(out, "\n")
}

// ruled says whether a line only draws.
func ruled(line string) bool {
	return line != "" && strings.Trim(line, "|+-=: ") == ""
}

// tableLines makes a line of each row, or of each column under a column of
// places.
func tableLines(head []string, rows [][]string) []string {
	var out []string
	if strings.ContainsAny(strings.Join(head, ""), "0123456789") || len(rows) == 0 {
		for _, r := range append([][]string{head}, rows...) { // no heading
			out = append(out, strings.Join(r, " "))
		}
		return out
	}
	if placeHeads[strings.ToLower(head[0])] {
		for k := 1; k < len(head); k++ {
			if skippedHeads[firstWord(head[k])] {
				continue
			}
			line := head[k] + ":"
			for _, r := range rows {
				if k < len(r) && r[k] != "" {
					line += " " + placeLabel(head[0], r[0]) + ": " + r[k] + ","
				}
			}
			out = append(out, strings.TrimSuffix(line, ","))
		}
		return out
	}
	measured := false
	for _, h := range head {
		measured = measured || measuredHeads[firstWord(h)]
	}
	for _, r := range rows {
		for k := 1; k < len(r) && k < len(head); k++ {
			h := firstWord(head[k])
			if r[k] == "" || r[k] == "-" || skippedHeads[h] || measured && !measuredHeads[h] {
				continue
			}
			label := r[0]
			if !measured {
				label = head[k] + " " + label
			}
			out = append(out, label+" "+r[k])
		}
	}
	return out
}

// placeLabel names a place as people do: "bolt 4"; a clock position stands alone.
func placeLabel(head, cell string) string {
	switch h := firstWord(head); h {
	case "bolt", "position", "pos", "spot", "station":
		return h + " " + cell
	}
	return cell
}

func firstWord(s string) string {
	f := strings.Fields(strings.ToLower(s))
	if len(f) == 0 {
		return ""
	}
	return f[0]
}
