package rules

import "embed"

// shipped holds the sheets and rules that come with the program, read only.
//
//go:embed sheets/*.yaml shop/*.yaml
var shipped embed.FS
