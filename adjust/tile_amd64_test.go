package adjust

import "testing"

// TestEveryProcessor: this processor's lesser selves give the same bits too.
func TestEveryProcessor(t *testing.T) {
	was4, was8 := four, eight
	defer func() { four, eight = was4, was8 }()
	for eight = range map[bool]bool{false: true, was8: true} {
		for four = range map[bool]bool{false: true, was4: true} {
			TestTilesAlike(t)
		}
	}
}
