package site

// PackWall is one wall as the hangers see it.
type PackWall struct {
	ID        string        `json:"id"`
	Width     string        `json:"width"`
	Height    string        `json:"height"`
	OutlineIn []XY          `json:"outline_in"`
	Edges     []string      `json:"edges"`
	Openings  []PackOpening `json:"openings"`
	Order     []PackCourse  `json:"order" doc:"Bottom up, course by course"`
	Pole      []PackMark    `json:"pole" doc:"The story pole, top first"`
	Gaps      PackGapTable  `json:"gaps"`
	Nails     string        `json:"nails"`
	Sizes     []PackSize    `json:"sizes" doc:"Sizes that may be found wrong"`
	Quality   []PackQuality `json:"quality" doc:"In hanging order"`
	EdgeStrip string        `json:"edge_strip" doc:"Width of the strips at corners where the wind pulls hardest; empty where not known"`
}

// PackOpening is an opening of a wall.
type PackOpening struct {
	ID        string `json:"id"`
	Kind      string `json:"kind"`
	OutlineIn []XY   `json:"outline_in"`
}

// PackCourse is the pieces of one course, left to right.
type PackCourse struct {
	Zone   string   `json:"zone"`
	Course int      `json:"course"`
	Line   string   `json:"line" doc:"Height of its lower edge; across the wall for vertical panels"`
	LineIn float64  `json:"line_in"`
	Pieces []string `json:"pieces"`
}

// PackMark is one height of the story pole.
type PackMark struct {
	YIn       float64 `json:"y_in"`
	Y         string  `json:"y" doc:"Above the house's level line"`
	FromDatum string  `json:"from_datum"`
	Text      string  `json:"text"`
}

// PackGapTable is the gap at each end for a range of temperatures; a column is pieces
// up to a length.
type PackGapTable struct {
	Columns []string     `json:"columns"`
	Rows    []PackGapRow `json:"rows"`
}

// PackGapRow is one temperature.
type PackGapRow struct {
	TempF float64  `json:"temp_f"`
	Temp  string   `json:"temp"`
	Gaps  []string `json:"gaps"`
}

// PackSize is a size of the wall that somebody may find wrong.
type PackSize struct {
	ID      string  `json:"id"`
	What    string  `json:"what"`
	Value   string  `json:"value"`
	ValueIn float64 `json:"value_in"`
	Opening string  `json:"opening"`
}

// PackQuality is one thing to be looked at and signed with initials. No piece of the
// wall is hung before a gate is done.
type PackQuality struct {
	ID     string `json:"id"`
	What   string `json:"what"`
	When   string `json:"when" enum:"before,start,during,end"`
	Photo  bool   `json:"photo"`
	Gate   bool   `json:"gate"`
	Source string `json:"source"`
}

// PackGap is the rule of gaps as steps: a piece needs the first steps[k] for which
// the temperature is at least its gap_from_f[k].
type PackGap struct {
	Steps      []PackLength `json:"steps"`
	Colder     string       `json:"colder" doc:"What to do below the coldest temperature"`
	Shorten    []string     `json:"shorten" doc:"To cut off a piece that needs n steps more than it was cut for"`
	ShortenOne []string     `json:"shorten_one" doc:"The same for one that is held at its top"`
	Rule       string       `json:"rule"`
	Text       string       `json:"text"`
	LowestF    float64      `json:"lowest_f"`
	HighestF   float64      `json:"highest_f"`
}

// PackWind is the wind's pull on the walls against nails and panels.
type PackWind struct {
	Known   bool          `json:"known"`
	Asks    []PackAsk     `json:"asks" doc:"What has to be stated first"`
	Inputs  []PackInput   `json:"inputs"`
	Pulls   []PackPull    `json:"pulls"`
	Nailing []PackNailing `json:"nailing"`
	Slot    string        `json:"slot" doc:"Where the nail sits"`
	Text    string        `json:"text"`
}

// PackAsk is an input that is missing, and where to state it.
type PackAsk struct {
	Field string `json:"field"`
	What  string `json:"what"`
	Where string `json:"where"`
}

// PackInput is an input as used, and where it comes from.
type PackInput struct {
	What  string `json:"what"`
	Value string `json:"value"`
	From  string `json:"from"`
}

// PackPull is the pressure on one zone of a wall in lb/sq ft.
type PackPull struct {
	Zone         string  `json:"zone" enum:"field,edge"`
	What         string  `json:"what"`
	StrengthPSF  float64 `json:"strength_psf" doc:"Outwards, strength"`
	AllowablePSF float64 `json:"allowable_psf" doc:"Outwards, allowable stress"`
	PushPSF      float64 `json:"push_psf" doc:"Inwards, strength"`
}

// PackNailing is a suggestion for one panel in one zone.
type PackNailing struct {
	Panel    string  `json:"panel"`
	Zone     string  `json:"zone" enum:"field,edge"`
	Apart    string  `json:"apart"`
	PulledLb float64 `json:"pulled_lb"`
	HoldsLb  float64 `json:"holds_lb"`
	RatedPSF float64 `json:"rated_psf"`
	OK       bool    `json:"ok"`
	Text     string  `json:"text"`
}

// PackCarry is the shop's rule for long pieces.
type PackCarry struct {
	Rule    string  `json:"rule"`
	StopMPH float64 `json:"stop_mph"`
	Text    string  `json:"text"`
}
