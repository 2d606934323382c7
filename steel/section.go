// Package steel is the panel and the strip it is formed from: cross-sections,
// blank width with bend allowance, weight and length of coil, movement with
// temperature, and the book of a shop.
package steel

// Section is a panel's cross-section. The zero value is "not drawn".
type Section struct{}
