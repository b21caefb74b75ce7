//go:build !race

package dialogs_test

const raceOn = false
