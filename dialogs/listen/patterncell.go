package listen

// The squares of the pattern picture, told by number: "drive 3 coast 7". They
// count as one reads, along the tooth from toe to heel and from the top to the
// root: 1 toe, 2 centre, 3 heel at the top, 4 to 6 in the middle, 7 to 9 at the
// root.
var (
	cellLengths  = [3]string{"toe", "center", "heel"}
	cellProfiles = [3]string{"face", "center", "flank"}
)

// cell is a square named for a side.
type cell struct {
	side     tag
	n        int
	ci, item int
}

// cells reads squares told by number and claims the figures. A lone "drive 9" is
// taken only where patterns are spoken of; where nothing else explains it, it is
// given back to be asked about.
func (p *patternFinder) cells(claimed map[[2]int]bool, asked expectation) (doubt *Ask) {
	var found []cell
	sides := map[tag]bool{}
	patternWord, noise, words := false, false, 0
	for ci := range p.clauses {
		c := p.clauses[ci]
		for i, it := range c.items {
			patternWord = patternWord || it.tags.has(qPattern)
			noise = noise || it.tags.has(mNoise)
			if it.kind == phraseItem && !it.tags.has(light) {
				words++
			}
			s := p.sideAt(c, i)
			if s == pBoth && !it.tags.hasAny(sDrive, sCoast, qPattern) && !hasTag(c.items[:i], sDrive) && !hasTag(c.items[:i], sCoast) {
				continue
			}
			if s == none {
				continue
			}
			if k := cellFigure(c.items, i+1); k > 0 && !claimed[[2]int{ci, k}] && c.at(k)&(notDone|moodNot) == 0 && c.mark != '?' {
				found = append(found, cell{s, int(c.items[k].group.values[0].val), ci, k})
				sides[s] = true
			}
		}
	}
	if len(found) == 0 && len(p.expect) == 1 && p.expect[0] != "pattern" {
		if ci, k := p.bareCell(); k >= 0 {
			s := sDrive
			if p.expect[0] == PatternCoast {
				s = sCoast
			}
			found, sides[s] = append(found, cell{s, int(p.clauses[ci].items[k].group.values[0].val), ci, k}), true
		}
	}
	if noise || len(found) == 0 {
		return nil
	}
	if !sides[pBoth] && len(sides) < 2 && len(p.expect) == 0 && !patternWord {
		if asked.q != none || words > 1 {
			return nil
		}
		side, n := "drive", p.clauses[found[0].ci].items[found[0].item].text
		if found[0].side == sCoast {
			side = "coast"
		}
		return &Ask{Text: "is " + n + " the square of the " + side + " pattern?", Choices: []string{side + " pattern " + n}}
	}
	for _, f := range found {
		claimed[[2]int{f.ci, f.item}] = true
		p.used[f.ci] = true
		for _, side := range sidesOf(f.side) {
			p.add(contact{side: side, clause: f.ci, text: p.clauses[f.ci].text(), length: cellLengths[(f.n-1)%3], profile: cellProfiles[(f.n-1)/3]})
		}
	}
	return nil
}

// cellFigure gives the item of a bare figure from 1 to 9 behind a side, or 0.
func cellFigure(items []item, i int) int {
	for k := i; k < len(items) && k < i+5; k++ {
		it := items[k]
		if isCell(it) {
			return k
		}
		if it.group != nil || !it.tags.hasAny(light, qPattern) && !isSign(items, k, ":=-#") && !isWord(items, k, "cell", "square", "box", "zone", "picture", "pic") || it.tags.hasAny(sDrive, sCoast) {
			return 0
		}
	}
	return 0
}

func isCell(it item) bool {
	if it.kind != figureItem || it.group == nil || len(it.group.values) != 1 || it.group.unit != noUnit || it.group.inexact || it.group.positions[0] != "" {
		return false
	}
	v := it.group.values[0]
	return !v.point && !v.padded && v.sign == 0 && v.val >= 1 && v.val <= 9
}

// bareCell finds the one figure of a message that is nothing else: the answer
// "9" to where the drive pattern sits.
func (p *patternFinder) bareCell() (ci, at int) {
	ci, at = 0, -1
	for k := range p.clauses {
		c := p.clauses[k]
		for i, it := range c.items {
			switch {
			case it.kind == signItem, it.kind == lineItem, it.kind == phraseItem && (it.tags.has(light) || fillers[it.text] || isWord(c.items, i, "cell", "square", "box", "zone")):
			case isCell(it) && at < 0 && c.mark != '?' && c.at(i)&(notDone|moodNot|moodDoubt) == 0:
				ci, at = k, i
			default:
				return 0, -1
			}
		}
	}
	return ci, at
}
