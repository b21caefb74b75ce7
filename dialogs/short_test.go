package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

func TestShortRepliesLeaveOutTheReasonAndNoCaution(t *testing.T) {
	ann := people["ann"]
	defer func() { people["ann"] = ann }()
	k := toLoop(t, "lapwing")
	short := ann
	short.Replies = dialogs.ShortReplies
	people["ann"] = short
	answer := k.play("ann> lash 14 14 13 14, drive high and heel, coast high and heel")
	has(t, answer, "deeper", "expect", "next:")
	hasNot(t, answer, "shallow (", "is over", "next, step")
	has(t, k.play("ann> why"), "shallow (", "is over")
	has(t, k.play("ann> caps are only finger tight"), "caution:")
}
