package steel

import _ "embed"

// DemoBook is the shop book, as JSON, of an invented shop: its panels, colours,
// stock, prices and rates are nobody's. What is behind its figures:
//
//   - alpha 6.5e-6 per degree F: AISC Manual, from memory; density: the usual
//     7850 kg/m3; k 0.44: Machinery's Handbook, 26th ed.;
//   - 170 degrees F for a dark panel in the sun, 1/8 in least gap, 1 1/2 in sliver,
//     joints lapped 1 in and staggered 24 in: common practice, no source;
//   - barrier laps of 2 in and 6 in: 2015 IRC R703.2; studs 16 in on centre, the most
//     that table basis allows without the maker's own instructions: IRC R703.3;
//   - 15 minutes of set-up, 40 ft a minute, 6 ft of threading scrap, 1/16 in lost at
//     a cut, receivers' pockets and covers, -20 degrees F: assumed.
//
// It names no longest piece. The blank widths are those of the drawn sections,
// rounded up to what the shop buys.
//
//go:embed demo.json
var DemoBook []byte
