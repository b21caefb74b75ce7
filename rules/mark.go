package rules

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"go.yaml.in/yaml/v4"
)

// markBytes is how much of a hash names a version: enough to tell a shop's versions
// apart, short enough to read out.
const markBytes = 4

// Mark names the content of a sheet: eight hexadecimal digits that change with any
// figure or word of it.
func (s *Sheet) Mark() string {
	data, err := json.Marshal(s)
	if err != nil {
		return "" // an infinite figure, which the check of sheets refuses
	}
	return markOf(data)
}

// Mark names the rules in force: eight hexadecimal digits that change with any
// condition, level, text or case.
func (s *Set) Mark() string { return s.mark }

// digest makes the mark; it takes milliseconds, so it is done once a load.
func (s *Set) digest() string {
	h := sha256.New()
	for _, r := range s.rules {
		text, err := yaml.Marshal(r.node)
		if err != nil {
			return "" // it was read as YAML, so it can be written as such
		}
		h.Write(text)
	}
	return hex.EncodeToString(h.Sum(nil)[:markBytes])
}

func markOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:markBytes])
}
