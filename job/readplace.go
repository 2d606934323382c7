package job

import "fmt"

// The JSON paths of what a job holds, for findings of later checks. The indexes
// are those of Job's slices, which keep the file's order.

// WallPath is where wall i stands.
func WallPath(i int) string { return fmt.Sprintf("$.house.walls[%d]", i) }

// OpeningPath is where opening j of wall i stands.
func OpeningPath(i, j int) string { return fmt.Sprintf("%s.openings[%d]", WallPath(i), j) }

// CornerPath is where corner k stands.
func CornerPath(k int) string { return fmt.Sprintf("$.house.corners[%d]", k) }

// SchemePath is where scheme s stands.
func SchemePath(s int) string { return fmt.Sprintf("$.schemes[%d]", s) }

// ZonePath is where zone z of scheme s stands.
func ZonePath(s, z int) string { return fmt.Sprintf("%s.zones[%d]", SchemePath(s), z) }
