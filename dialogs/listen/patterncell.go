package listen

import "strings"

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
func (p *patternFinder) cells(claimed map[[2]int]bool, asked expectation, talk []said) (doubt *Ask) {
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
			if s == pBoth && !it.tags.hasAny(sDrive, sCoast, qPattern) && !strings.Contains(it.text, "drive") && !hasTag(c.items[:i], sDrive) && !hasTag(c.items[:i], sCoast) {
				continue
			}
			if s == none {
				continue
			}
			at, k := ci, cellFigure(c.items, i+1)
			if k < 0 {
				at, k = p.cellAround(ci, i)
			}
			if o := p.clauses[at]; k >= 0 && !claimed[[2]int{at, k}] && o.at(k)&(notDone|moodNot) == 0 && o.mark != '?' {
				found = append(found, cell{s, int(o.items[k].group.values[0].val), at, k})
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
	if n := len(talk); n > 0 && talk[n-1].bot() && asked.q == none {
		// "sorry coast is 8": patterns were told of just before
		last := plainWords(talk[n-1].text)
		patternWord = patternWord || strings.Contains(last, "pattern") || strings.Contains(last, "drive:") || strings.Contains(last, "coast:")
	}
	if !sides[pBoth] && len(sides) < 2 && len(p.expect) == 0 && !patternWord {
		if asked.q != none || words > 1 {
			return nil
		}
		side, n := "drive", p.clauses[found[0].ci].items[found[0].item].text
		if found[0].side == sCoast {
			side = "coast"
		}
		return &Ask{Key: "ask.the_square", With: []any{"n", n, "drive", side == "drive", "coast", side == "coast"}, Choices: []string{side + " pattern " + n}}
	}
	for _, f := range found {
		claimed[[2]int{f.ci, f.item}] = true
		p.used[f.ci] = true
		if items := p.clauses[f.ci].items; isWord(items, f.item+1, "not") && f.item+2 < len(items) && isCell(items[f.item+2]) {
			claimed[[2]int{f.ci, f.item + 2}] = true // "drive 6 not 4"
		}
		for _, side := range sidesOf(f.side) {
			p.add(contact{side: side, clause: f.ci, text: p.clauses[f.ci].text(), length: cellLengths[(f.n-1)%3], profile: cellProfiles[(f.n-1)/3]})
		}
	}
	return nil
}

// cellFigure gives the item of a bare figure from 1 to 9 behind a side, or -1.
func cellFigure(items []item, i int) int {
	for k := i; k < len(items) && k < i+5; k++ {
		it := items[k]
		if isCell(it) {
			return k
		}
		if it.group != nil || !it.tags.hasAny(light, qPattern) && !isSign(items, k, ":=-#") && !isWord(items, k, "cell", "square", "box", "zone", "picture", "pic") || it.tags.hasAny(sDrive, sCoast) {
			return -1
		}
	}
	return -1
}

// cellAround finds the figure of a side before it ("2 on drive") or behind a
// colon that ended the clause ("drive: 6 coast: 4").
func (p *patternFinder) cellAround(ci, i int) (at, k int) {
	items := p.clauses[ci].items
	last := i == len(items)-1 || i == len(items)-2 && isSign(items, i+1, ":")
	if last && p.clauses[ci].mark == ':' && ci+1 < len(p.clauses) && isCell(p.clauses[ci+1].items[0]) {
		return ci + 1, 0
	}
	k = i - 1
	if isWord(items, k, "the") {
		k--
	}
	if k > 0 && isWord(items, k, "on", "for") && isCell(items[k-1]) {
		return ci, k - 1
	}
	return ci, -1
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
