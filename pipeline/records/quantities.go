package records

// Quantity is one measured thing: the unit its values are stored in and the range that is physically possible.
type Quantity struct {
	Name  string
	Unit  string // UCUM
	Range Range
	Note  string
}

// Quantities returns every measured quantity, in the order of the contract.
func Quantities() []Quantity { return quantities }

var quantities = []Quantity{
	{Name: "pip", Unit: "cm[H2O]", Range: *between(-20, 100)},
	{Name: "peep", Unit: "cm[H2O]", Range: *between(-20, 50)},
	{Name: "mean_airway_pressure", Unit: "cm[H2O]", Range: *between(-20, 80)},
	{Name: "rate", Unit: "/min", Range: *between(0, 1200), Note: "total breaths, the patient's included"},
	{Name: "expired_tidal_volume", Unit: "mL", Range: *between(0, 2000)},
	{Name: "minute_volume", Unit: "L/min", Range: *between(0, 60)},
	{Name: "flow", Unit: "L/min", Range: *between(0, 100)},
	{Name: "leak", Unit: "%", Range: *between(0, 100)},
	{Name: "fio2", Unit: "%", Range: *between(0, 100)},
	{Name: "spo2", Unit: "%", Range: *between(0, 100)},
	{Name: "heart_rate", Unit: "/min", Range: *between(0, 350)},
	{Name: "etco2", Unit: "mm[Hg]", Range: *between(0, 200)},
	{Name: "temperature", Unit: "Cel", Range: *between(20, 45)},
	{Name: "blood_pressure", Unit: "mm[Hg]", Range: *between(0, 300)},
	{Name: "oxygen", Unit: "%", Range: *between(0, 100), Note: "measured inspired oxygen in alarm conditions oxygen_high and oxygen_low"},
	{Name: "battery_charge", Unit: "%", Range: *between(0, 100)},
	{Name: "oxygen_supply_pressure", Unit: "kPa", Range: *between(0, 2000)},
	{Name: "air_supply_pressure", Unit: "kPa", Range: *between(0, 2000)},
}

// Condition is what an alarm announces and, where it watches a measured value, the quantity watched.
type Condition struct {
	Name     string
	Quantity string // of Quantities; empty where the alarm has no measured value
}

// Conditions returns every alarm condition, in the order of the contract.
func Conditions() []Condition { return conditions }

var conditions = []Condition{
	{"pip_high", "pip"},
	{"pip_low", "pip"},
	{"rate_high", "rate"},
	{"rate_low", "rate"},
	{"expired_tidal_volume_high", "expired_tidal_volume"},
	{"expired_tidal_volume_low", "expired_tidal_volume"},
	{"peep_high", "peep"},
	{"peep_low", "peep"},
	{"mean_airway_pressure_high", "mean_airway_pressure"},
	{"mean_airway_pressure_low", "mean_airway_pressure"},
	{"minute_volume_high", "minute_volume"},
	{"minute_volume_low", "minute_volume"},
	{"oxygen_high", "oxygen"},
	{"oxygen_low", "oxygen"},
	{"apnea", ""},
	{"disconnection", ""},
	{"leak", "leak"},
	{"occlusion", ""},
	{"gas_supply_low", "oxygen_supply_pressure"},
	{"battery_low", "battery_charge"},
	{"power_loss", ""},
	{"spo2_high", "spo2"},
	{"spo2_low", "spo2"},
	{"heart_rate_high", "heart_rate"},
	{"heart_rate_low", "heart_rate"},
	{"etco2_high", "etco2"},
	{"etco2_low", "etco2"},
	{"blood_pressure_high", "blood_pressure"},
	{"blood_pressure_low", "blood_pressure"},
	{"temperature_high", "temperature"},
	{"temperature_low", "temperature"},
	{"technical", ""},
	{"other", ""},
}

func quantityCodes() []string {
	names := make([]string, len(quantities))
	for i, q := range quantities {
		names[i] = q.Name
	}
	return names
}

func conditionCodes() []string {
	names := make([]string, len(conditions))
	for i, c := range conditions {
		names[i] = c.Name
	}
	return names
}
