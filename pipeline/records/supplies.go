package records

var cylinders = Table{
	Name:     "cylinders",
	Meaning:  "Gas supplies used on a transport.",
	Sequence: []string{"opened_at", "closed_at"},
	Columns: []Column{
		{Name: "transport_id", Kind: Text, Required: true},
		{Name: "cylinder_id", Kind: Text},
		{Name: "supply", Kind: Code, Codes: codes("carried", "vehicle", "wall"), Meaning: "Empty counts as carried."},
		{Name: "gas", Kind: Code, Required: true, Codes: codes("oxygen", "air", "nitric_oxide")},
		{Name: "size", Kind: Text, Meaning: "A size named in the configuration (US letter sizes or metric water volume)."},
		{Name: "concentration", Kind: Number, Unit: "[ppm]", Range: between(1, 10000), Meaning: "Of nitric oxide in its cylinder."},
		{Name: "opened_at", Kind: Time},
		{Name: "closed_at", Kind: Time},
		{Name: "start_pressure", Kind: Number, Unit: "kPa", Range: between(0, 40000), Meaning: "Gauge."},
		{Name: "end_pressure", Kind: Number, Unit: "kPa", Range: between(0, 40000), Meaning: "Gauge."},
		{Name: "start_temperature", Kind: Number, Unit: "Cel", Range: between(-40, 70), Meaning: "Of the cylinder, where recorded."},
		{Name: "end_temperature", Kind: Number, Unit: "Cel", Range: between(-40, 70)},
		{Name: "start_mass", Kind: Number, Unit: "kg", Range: between(0, 500), Meaning: "Liquid oxygen instead of pressure."},
		{Name: "end_mass", Kind: Number, Unit: "kg", Range: between(0, 500)},
	},
}

var devices = Table{
	Name:       "devices",
	Meaning:    "The device register.",
	Identifier: "device_id",
	Columns: []Column{
		{Name: "device_id", Kind: Text, Required: true},
		{Name: "kind", Kind: Code, Required: true, Codes: codes("ventilator", "monitor", "incubator", "pump", "nitric_oxide_delivery", "other")},
		{Name: "in_service_on", Kind: Date},
		{Name: "retired_on", Kind: Date},
		{Name: "purchase_cost", Kind: Number, Unit: "1", Range: between(0, 1e9), Meaning: "In the configured currency."},
		{Name: "battery_endurance", Kind: Number, Unit: "min", Range: between(1, 6000), Meaning: "Rated at full charge."},
		{Name: "battery_endurance_display_dimmed", Kind: Number, Unit: "min", Range: between(1, 6000), Meaning: "Rated with the screen dimmed."},
	},
}

var service = Table{
	Name:     "service",
	Meaning:  "Times a device was out of service.",
	Sequence: []string{"removed_at", "returned_at"},
	Columns: []Column{
		{Name: "device_id", Kind: Text, Required: true},
		{Name: "removed_at", Kind: Time, Required: true},
		{Name: "returned_at", Kind: Time},
		{Name: "reason", Kind: Code, Required: true, Codes: codes("failure", "preventive", "recall", "other")},
		{Name: "cost", Kind: Number, Unit: "1", Range: between(0, 1e9)},
	},
}

var checks = Table{
	Name:    "checks",
	Meaning: "Checks made before use.",
	Columns: []Column{
		{Name: "transport_id", Kind: Text},
		{Name: "device_id", Kind: Text, Required: true},
		{Name: "recorded_at", Kind: Time, Required: true},
		{Name: "kind", Kind: Code, Required: true, Codes: codes("leak", "oxygen_sensor", "flow_sensor", "battery", "alarm", "gas_contents", "other"), Meaning: "Pre-use checks."},
		{Name: "result", Kind: Code, Required: true, Codes: codes("pass", "fail", "skipped")},
	},
}

var carried = Table{
	Name:    "carried",
	Meaning: "Devices on a transport beside its ventilator.",
	Columns: []Column{
		{Name: "transport_id", Kind: Text, Required: true, Meaning: "Devices on a transport beside its ventilator (monitor, incubator, second ventilator)."},
		{Name: "device_id", Kind: Text, Required: true},
	},
}
