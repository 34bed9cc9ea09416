package records

var settings = Table{
	Name:    "settings",
	Meaning: "Ventilator settings, a row for each change.",
	Log:     true,
	When:    "recorded_at",
	Columns: []Column{
		{Name: "transport_id", Kind: Text, Meaning: "Empty in a device log: linked by device and time."},
		{Name: "device_id", Kind: Text},
		{Name: "recorded_at", Kind: Time, Required: true, Meaning: "The moment of the change; it holds until the next row."},
		{Name: "mode", Kind: Code, Codes: codes("simv", "assist_control", "pressure_support", "cmv", "cpap", "nippv", "high_flow", "low_flow", "hfov", "hfjv", "standby", "off"), Meaning: "What the operator selected."},
		{Name: "interface", Kind: Code, Codes: codes("tube", "tracheostomy", "nasal", "mask", "laryngeal_mask", "hood", "none"), Meaning: "How the patient is connected."},
		{Name: "continuous_flow", Kind: Flag, Meaning: "Flow runs through the whole breath cycle; empty counts as on."},
		{Name: "pip", Kind: Number, Unit: "cm[H2O]", Range: between(0, 100), Meaning: "Peak inspiratory pressure above ambient."},
		{Name: "peep", Kind: Number, Unit: "cm[H2O]", Range: between(0, 50)},
		{Name: "pressure_support", Kind: Number, Unit: "cm[H2O]", Range: between(0, 80)},
		{Name: "rate", Kind: Number, Unit: "/min", Range: between(0, 1200), Meaning: "Set breaths."},
		{Name: "inspiratory_time", Kind: Number, Unit: "s", Range: between(0.05, 5)},
		{Name: "flow", Kind: Number, Unit: "L/min", Range: between(0, 100)},
		{Name: "trigger_sensitivity", Kind: Number, Unit: "1", Range: between(0, 100), Meaning: "On the device's own scale."},
		{Name: "fio2", Kind: Number, Unit: "%", Range: between(20.9, 100)},
		{Name: "nitric_oxide", Kind: Number, Unit: "[ppm]", Range: between(0, 100)},
		{Name: "mean_airway_pressure", Kind: Number, Unit: "cm[H2O]", Range: between(0, 80), Meaning: "Set value in oscillation."},
		{Name: "amplitude", Kind: Number, Unit: "cm[H2O]", Range: between(0, 150)},
		{Name: "frequency", Kind: Number, Unit: "Hz", Range: between(1, 25)},
	},
}

var readings = Table{
	Name:    "readings",
	Meaning: "Measured values from device logs.",
	Log:     true,
	When:    "recorded_at",
	Columns: []Column{
		{Name: "transport_id", Kind: Text, Meaning: "Empty in a device log."},
		{Name: "device_id", Kind: Text},
		{Name: "recorded_at", Kind: Time, Required: true},
		{Name: "quantity", Kind: Code, Required: true, Codes: quantityCodes()},
		{Name: "value", Kind: Number, Unit: ByQuantity, Required: true},
		{Name: "unit", Kind: Text, Meaning: "UCUM or alias; empty: the unit of quantities.csv."},
	},
}

var alarms = Table{
	Name:     "alarms",
	Meaning:  "Alarm onsets from device logs.",
	Log:      true,
	When:     "started_at",
	Sequence: []string{"started_at", "ended_at"},
	Columns: []Column{
		{Name: "transport_id", Kind: Text, Meaning: "Empty in a device log."},
		{Name: "device_id", Kind: Text},
		{Name: "started_at", Kind: Time, Required: true},
		{Name: "ended_at", Kind: Time},
		{Name: "silenced_at", Kind: Time},
		{Name: "condition", Kind: Code, Required: true, Codes: conditionCodes()},
		{Name: "priority", Kind: Code, Codes: codes("high", "medium", "low"), Meaning: "IEC 60601-1-8 priorities."},
		{Name: "alarm_limit", Kind: Number, Unit: ByCondition, Meaning: "The limit in force."},
		{Name: "observed", Kind: Number, Unit: ByCondition, Meaning: "The value that crossed it."},
		{Name: "unit", Kind: Text, Meaning: "Of alarm_limit and observed; empty: the unit of the quantity in quantities.csv."},
	},
}

var power = Table{
	Name:    "power",
	Meaning: "Power source of a device, a row for each change.",
	Log:     true,
	When:    "recorded_at",
	Columns: []Column{
		{Name: "transport_id", Kind: Text},
		{Name: "device_id", Kind: Text, Required: true},
		{Name: "recorded_at", Kind: Time, Required: true, Meaning: "It holds until the next row."},
		{Name: "source", Kind: Code, Required: true, Codes: codes("external", "battery", "off")},
		{Name: "charge", Kind: Number, Unit: "%", Range: between(0, 100)},
		{Name: "display_dimmed", Kind: Flag, Meaning: "Screen dimmed to save the battery."},
	},
}
