package charts

// Colours. The hues are those of Okabe and Ito (Color Universal Design, 2008), told apart with the usual deficiencies of
// colour sight; greys and tints are our own. Text is set in ink, soft or white alone: a test holds each pair of text and
// ground to a contrast of at least 4.5 (WCAG 2.2, 1.4.3). No colour ever comes from data.
const (
	white      = "#ffffff"
	ink        = "#1b232b" // text, and the marks that must be seen first
	soft       = "#4a5662" // axis labels, limits
	rule       = "#dde2e6" // grid
	shade      = "#eef1f4" // the month under report
	blue       = "#0072b2"
	sky        = "#56b4e9"
	green      = "#009e73"
	vermillion = "#d55e00"
	orange     = "#e69f00"
	purple     = "#cc79a7"
	yellow     = "#f0e442"
	navy       = "#12324a" // tints and shades of blue, for counts and parts
	paleSky    = "#bfe3f7"
	mist       = "#e3f1fa"
	none       = "none"
)

// allColours is every colour that a chart may hold.
var allColours = []string{white, ink, soft, rule, shade, blue, sky, green, vermillion, orange, purple, yellow, navy, paleSky, mist}

// partColours fill the parts of a stacked column. Neighbours differ in lightness, so that they differ on a grey print.
var partColours = []string{blue, paleSky, navy, orange, vermillion, yellow}

// groupMarks tell the groups of a scatter apart by shape first and colour second.
var groupMarks = []marker{
	{shape: "circle", size: 7, fill: blue, edge: white, edgeWidth: 1},
	{shape: "triangle", size: 9, fill: white, edge: vermillion, edgeWidth: 1.5},
	{shape: "rect", size: 7, fill: navy, edge: white, edgeWidth: 1},
	{shape: "diamond", size: 9, fill: orange, edge: ink, edgeWidth: 1},
	{shape: "circle", size: 7, fill: white, edge: green, edgeWidth: 2},
}

// countFills shade the cells of a matrix, few to many; countInks is the text on each.
var (
	countFills = []string{white, mist, paleSky, sky, blue}
	countInks  = []string{soft, ink, ink, ink, white}
)

// fontFamily names fonts of one set of widths first: see widthRuns.
const fontFamily = "Arial, 'Liberation Sans', Helvetica, sans-serif"

// Sizes of text in px at full width.
const (
	textSize   = 12.0
	smallSize  = 11.0
	lineHeight = 15.0
)

// Strokes of the lines that mean the same on every chart.
var (
	dataStroke   = stroke{colour: blue, width: 1.5}
	centreStroke = stroke{colour: soft, width: 1.5}
	limitStroke  = stroke{colour: soft, width: 1.2, dash: "dashed"}
	targetStroke = stroke{colour: green, width: 2, dash: "dotted"}
	ruleStroke   = stroke{colour: rule, width: 1}
	axisStroke   = stroke{colour: soft, width: 1}
)

// dataMark is the plain point of a series.
var dataMark = marker{shape: "circle", size: 6, fill: blue, edge: white, edgeWidth: 1}
