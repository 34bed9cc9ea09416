package units

// The dimensions. Rates of breathing and oscillation share one; so do percent and plain fractions.
const (
	pressure    = "pressure"
	temperature = "temperature"
	mass        = "mass"
	duration    = "time"
	volume      = "volume"
	flow        = "flow"
	frequency   = "frequency"
	ratio       = "ratio"
	glucose     = "concentration of glucose"
	dilution    = "parts of a gas"
	acidity     = "acidity"
	length      = "length"
)

// Exact factors, from which others are made.
const (
	psi   = 6894.757293168 // Pa, NIST SP 811
	pound = 0.45359237     // kg, NIST SP 811
	foot  = 0.3048         // m, NIST SP 811
)

// table is the one home of every factor: base units are Pa, Cel, kg, s, L, L/min, /min, 1, mg/dL, [ppm], [pH], m.
var table = []Unit{
	{"Pa", pressure, 1, 0, []string{"pascal"}},
	{"hPa", pressure, 100, 0, nil},
	{"kPa", pressure, 1000, 0, []string{"kilopascal", "kpag"}},
	{"MPa", pressure, 1e6, 0, nil},
	{"mbar", pressure, 100, 0, []string{"millibar"}},
	{"bar", pressure, 1e5, 0, []string{"barg", "bars"}},
	{"[psi]", pressure, psi, 0, []string{"psi", "psig", "lb/in2", "lbf/in2"}},
	{"cm[H2O]", pressure, 98.0665, 0, []string{"cmH2O", "cm_H2O", "cmwater"}},
	{"mm[Hg]", pressure, 133.322, 0, []string{"mmHg", "mm_Hg"}},
	{"Torr", pressure, 101325.0 / 760, 0, nil},
	{"atm", pressure, 101325, 0, nil},

	{"Cel", temperature, 1, 0, []string{"C", "degC", "deg_C", "celsius"}},
	{"[degF]", temperature, 1 / 1.8, -32 / 1.8, []string{"F", "degF", "deg_F", "fahrenheit"}},
	{"K", temperature, 1, -273.15, []string{"kelvin"}},

	{"mg", mass, 1e-6, 0, nil},
	{"g", mass, 1e-3, 0, []string{"gram", "grams", "gm"}},
	{"kg", mass, 1, 0, []string{"kilogram", "kilograms", "kgs"}},
	{"[lb_av]", mass, pound, 0, []string{"lb", "lbs", "pound", "pounds"}},
	{"[oz_av]", mass, pound / 16, 0, []string{"oz", "ounce", "ounces"}},

	{"ms", duration, 1e-3, 0, []string{"msec", "millisecond", "milliseconds"}},
	{"s", duration, 1, 0, []string{"sec", "secs", "second", "seconds"}},
	{"min", duration, 60, 0, []string{"mins", "minute", "minutes"}},
	{"h", duration, 3600, 0, []string{"hr", "hrs", "hour", "hours"}},
	{"d", duration, 86400, 0, []string{"day", "days"}},
	{"wk", duration, 7 * 86400, 0, []string{"week", "weeks", "wks"}},
	{"mo", duration, 30.4375 * 86400, 0, []string{"month", "months"}},
	{"a", duration, 365.25 * 86400, 0, []string{"yr", "yrs", "year", "years"}},

	{"mL", volume, 1e-3, 0, []string{"cc", "cm3", "milliliter", "millilitre", "milliliters", "millilitres"}},
	{"dL", volume, 0.1, 0, nil},
	{"L", volume, 1, 0, []string{"liter", "litre", "liters", "litres"}},
	{"m3", volume, 1000, 0, []string{"cbm"}},
	{"[cft_i]", volume, 1000 * foot * foot * foot, 0, []string{"ft3", "cuft"}},

	{"mL/min", flow, 1e-3, 0, []string{"cc/min", "mL/m"}},
	{"L/min", flow, 1, 0, []string{"lpm", "l/m", "liter/min", "litre/min", "liters/min", "litres/min"}},
	{"L/s", flow, 60, 0, nil},
	{"L/h", flow, 1.0 / 60, 0, []string{"l/hr"}},

	{"/min", frequency, 1, 0, []string{"1/min", "bpm", "breaths/min", "beats/min", "min-1", "min^-1", "{breaths}/min", "{beats}/min", "br/min"}},
	{"Hz", frequency, 60, 0, []string{"/s", "1/s", "hertz"}},
	{"/h", frequency, 1.0 / 60, 0, []string{"1/h"}},

	{"1", ratio, 1, 0, []string{"fraction", "{fraction}"}},
	{"%", ratio, 0.01, 0, []string{"percent", "pct", "vol%", "%vol"}},

	{"mg/dL", glucose, 1, 0, []string{"mg%", "mgdl"}},
	{"mg/L", glucose, 0.1, 0, nil},
	{"g/L", glucose, 100, 0, nil},
	{"mmol/L", glucose, 18.016, 0, []string{"mmol"}},

	{"[ppm]", dilution, 1, 0, []string{"ppm"}},
	{"[ppb]", dilution, 1e-3, 0, []string{"ppb"}},

	{"[pH]", acidity, 1, 0, []string{"pH", "pH units"}},

	{"mm", length, 1e-3, 0, nil},
	{"cm", length, 1e-2, 0, nil},
	{"m", length, 1, 0, []string{"meter", "metre"}},
	{"km", length, 1000, 0, nil},
	{"[ft_i]", length, foot, 0, []string{"ft", "foot", "feet"}},
	{"[mi_i]", length, 5280 * foot, 0, []string{"mi", "mile", "miles"}},
}
