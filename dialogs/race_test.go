//go:build race

package dialogs_test

// raceOn says that the race detector watches, which makes everything about ten times
// as slow.
const raceOn = true
