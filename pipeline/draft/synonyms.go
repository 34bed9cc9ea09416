package draft

import (
	"strconv"
	"strings"
)

// synonyms are the names under which exports bring each column: the one table of the trade's habits. Phrases are parted by a
// bar; words of a phrase are brought to concepts as those of headers are, so "arr ref" is "Arrived at referring" too. A phrase
// that says less than all ends in ~ and its weight. These are common practice, from memory; there is no standard for them.
// The contract's own names are always known.
var synonyms = map[string]map[string]string{
	"transports": {
		"transport_id":             "trip number|trip|call number|dispatch number|reference~0.8|ref~0.6|pcr number|ref number~0.8",
		"team":                     "team|base|crew base~0.6",
		"vehicle":                  "vehicle|vehicle type|mode trip|asset type|trip type~0.6|type~0.5|mode~0.6|transport mode",
		"urgency":                  "urgency|urgency category|trip type~0.4|level~0.4",
		"disposition":              "disposition|outcome|status~0.7|trip status|trip outcome",
		"disposition_reason":       "disposition reason|cancel reason|decline reason|reason cancelled|reason declined|reason~0.5",
		"referring_site":           "referring facility|referring|from facility|from|facility~0.7|pickup|pickup location|referring location",
		"receiving_site":           "receiving facility|receiving|to facility|to|drop off|receiving location|admitted to~0.7",
		"called_at":                "call|call time|call received|request|request time|time of call|referral|referral time|referral call|initial call|referring call|request received|phone call|call taken",
		"delay_reason":             "delay reason|reason delay|reason late",
		"accepted_at":              "accept|accept time|task|team task|accept trip|task time|go decision|team notified",
		"departed_base_at":         "roll|depart base|base depart|team depart|depart~0.6|set off|roll out|wheels up|depart time~0.6|out of base",
		"arrived_referring_at":     "arrive referring|arrive referring facility|arrive scene|on scene|at referring|arrive pickup|referring arrive",
		"at_patient_at":            "at patient|patient contact|arrive patient|with patient|first contact|at the patient side|patient side",
		"departed_referring_at":    "depart referring|depart referring facility|depart scene|depart facility~0.8|patient loaded~0.6|depart with patient|depart patient~0.7",
		"arrived_receiving_at":     "arrive receiving|arrive receiving facility|at receiving|receiving arrive|arrive facility~0.6|arrive~0.4",
		"handed_over_at":           "handover|handover time|care handover|handover complete|handover of care|transfer care|care transferred|patient handover",
		"available_at":             "available|in service|back in service|back at base|available time|available for call|arrive base|clear~0.7|clear for call",
		"patient_key":              "mrn|patient number|patient mrn|medical record number|patient key|fin~0.6|hospital number",
		"sex":                      "sex|patient sex",
		"gestation":                "gestation|gestation age|gestation birth|weeks gestation",
		"birth_weight":             "birth weight|bw",
		"weight":                   "weight|patient weight|current weight|weight today|trip weight",
		"age_at_call":              "age|age day|patient age|day of life|age at call|age at trip",
		"diagnosis":                "diagnosis|diagnosis group|diagnosis type|primary diagnosis|reason for trip~0.8|main problem|diagnosis category",
		"cooling":                  "cool|active cool|cool on trip",
		"ventilator_id":            "ventilator|ventilator number|ventilator device|ventilator used",
		"planned_duration":         "plan duration|plan time|plan min|plan trip time|plan trip duration|plan minutes",
		"planned_oxygen":           "plan oxygen|oxygen required|oxygen plan|oxygen litres planned|oxygen l plan",
		"planned_air":              "plan air|air required|air plan",
		"tube_confirmed":           "tube confirm|tube position confirm|tube position",
		"intubation_attempts":      "intubation attempt|number intubation attempt|tube attempt|attempts~0.7",
		"intubation_success":       "intubation success|success intubation|tube placed~0.7",
		"intubated_after_handover": "hours to intubation|intubation after handover|intubation after receiving",
		"intubated_after_for":      "intubation reason|reason intubation after",
		"handover_structured":      "structured|handover structured|structured handover|handover form|handover tool",
		"died_in_transit":          "die in transit|die during trip|die en route|die on trip|die trip",
		"died_within_7_days":       "die within 7 days|die 7 d|7 day mortality|7 day death|die day 7",
	},
	"assessments": {
		"transport_id":         "trip number|trip|call number",
		"stage":                "stage|assessment stage|assessment point|assessment time~0.5|when~0.6|time~0.4|timing~0.7",
		"recorded_at":          "recorded|recorded time|date time~0.8|time~0.7|assessment time|sample time|assessed",
		"temperature":          "temperature|patient temperature|body temperature|axillary temperature|core temperature",
		"respiratory_status":   "distress|respiratory distress|respiratory status|work of breathing|wob",
		"respiratory_rate":     "respiratory rate|rr|breath rate",
		"heart_rate":           "heart rate|heart",
		"spo2":                 "spo2|oxygen saturation",
		"fio2":                 "fio2|inspired oxygen|oxygen fraction",
		"systolic_pressure":    "systolic|systolic pressure|systolic blood pressure|nibp systolic|bp sys",
		"response":             "response|response to stimulus|neuro response",
		"mean_airway_pressure": "map|mean airway pressure|mean pressure",
		"ph":                   "ph|blood gas ph|arterial ph",
		"pco2":                 "pco2|pco2 art",
		"po2":                  "po2|po2 art",
		"glucose":              "glucose|blood glucose|blood sugar",
	},
	"settings": {
		"transport_id":         "trip number|trip",
		"device_id":            "device|device number|ventilator|ventilator device number|device serial number",
		"recorded_at":          "recorded|recorded time|date time~0.8|time~0.8|change time|changed",
		"mode":                 "mode|ventilator mode|vent mode|ventilation mode",
		"interface":            "interface|patient interface|airway interface|airway~0.7",
		"continuous_flow":      "continuous flow|bias flow",
		"pip":                  "pip|pip set|inspiratory pressure|pressure control|peak pressure",
		"peep":                 "peep|peep set|end expiratory pressure|cpap level",
		"pressure_support":     "ps|pressure support|ps above peep",
		"rate":                 "rate|set rate|ventilator rate|breath rate|rr|respiratory rate~0.9",
		"inspiratory_time":     "ti|inspiratory time|insp time|i time",
		"flow":                 "flow|set flow|flow rate",
		"trigger_sensitivity":  "trigger|trigger sensitivity|sensitivity|flow trigger",
		"fio2":                 "fio2|fio2 set|oxygen~0.7|inspired oxygen|oxygen fraction",
		"nitric_oxide":         "nitric|nitric oxide|nitric dose|no dose",
		"mean_airway_pressure": "map|mean airway pressure|mean pressure|map set",
		"amplitude":            "amplitude|delta p|dp",
		"frequency":            "hz|hfo frequency|oscillation frequency",
	},
	"readings": {
		"transport_id": "trip number|trip",
		"device_id":    "device|device number|ventilator|monitor|monitor number|device serial number|bed~0.8",
		"recorded_at":  "recorded|recorded time|date time|time|sample time|time stamp|time utc",
		"quantity":     "quantity|signal|variable",
		"value":        "value|measured value",
		"unit":         "units|unit~0.8|unit of measure",
	},
	"quantities": {
		"pip":                    "pip|peak pressure|peak airway pressure|peak inspiratory pressure|pip measured",
		"peep":                   "peep|end expiratory pressure|peep measured",
		"mean_airway_pressure":   "map|mean airway pressure|mean pressure|pressure mean",
		"rate":                   "rr|respiratory rate|total rate|breath rate|rate|rr total|respiratory rate total|rate total",
		"expired_tidal_volume":   "vte|tidal volume|expired volume|expired tidal volume|vt e|vte expired",
		"minute_volume":          "mv|minute volume|minute ventilation|mv exp|mv expired|expired minute volume",
		"flow":                   "flow|flow measured|total flow",
		"leak":                   "leak|tube leak|leak percent",
		"fio2":                   "fio2|fio2 measured|oxygen concentration|oxygen|inspired oxygen",
		"spo2":                   "spo2|oxygen saturation|pulse oximetry",
		"heart_rate":             "heart rate|heart|pulse rate",
		"etco2":                  "etco2|end tidal co2|et co2|co2 et",
		"temperature":            "temperature|skin temperature|core temperature|rectal temperature",
		"blood_pressure":         "bp mean|mean blood pressure|arterial mean|mean bp|bp|blood pressure",
		"oxygen":                 "measured oxygen~0.7",
		"battery_charge":         "battery|battery charge|battery level|charge|battery percent",
		"oxygen_supply_pressure": "oxygen supply pressure|oxygen supply|oxygen inlet pressure",
		"air_supply_pressure":    "air supply pressure|air supply|air inlet pressure",
	},
	"alarms": {
		"transport_id": "trip number|trip",
		"device_id":    "device|device number|ventilator|monitor|device serial number|monitor number|bed~0.8",
		"started_at":   "start|start time|alarm start|alarm time|event time~0.9|time~0.7|raised|triggered|date time~0.7|recorded~0.5|alarm on",
		"ended_at":     "end|end time|alarm end|alarm off|reset",
		"silenced_at":  "silenced|audio paused|silenced time|alarm silenced|alarm ack",
		"condition":    "alarm|alarm text|alarm condition|alarm message|alarm name|alarm type|event~0.5|description~0.6",
		"priority":     "urgency|alarm priority|severity|level|alarm level|class~0.5",
		"alarm_limit":  "limit|alarm limit|set limit|limit value",
		"observed":     "observed|observed value|value~0.8|alarm value",
		"unit":         "units|unit~0.6|unit of measure",
	},
	"cylinders": {
		"transport_id":      "trip number|trip",
		"cylinder_id":       "cylinder number|cylinder|cylinder serial number|cylinder serial",
		"supply":            "supply|gas source|supplied from|location~0.4",
		"gas":               "gas|gas type|cylinder gas|contents~0.6",
		"size":              "size|cylinder size|cylinder type~0.7|cylinder volume|volume~0.6",
		"concentration":     "concentration|nitric concentration|ppm cylinder",
		"opened_at":         "open|open time|cylinder open|time on|start time~0.7|on time",
		"closed_at":         "close|close time|cylinder close|time off|end time~0.7|off time",
		"start_pressure":    "start pressure|start|pressure before|pressure start|begindruk|initial pressure",
		"end_pressure":      "end pressure|end|pressure after|pressure end|einddruk|final pressure|residual pressure",
		"start_temperature": "start temperature|temperature before",
		"end_temperature":   "end temperature|temperature after",
		"start_mass":        "start mass|start weight|weight before|mass before",
		"end_mass":          "end mass|end weight|weight after|mass after",
	},
	"power": {
		"transport_id":   "trip number|trip",
		"device_id":      "device|device number|ventilator|device serial number|monitor~0.8",
		"recorded_at":    "recorded|recorded time|date time~0.9|time|changed|time stamp",
		"source":         "power source|supply|source|power supply|power|power state~0.8|power status~0.8|running on",
		"charge":         "charge|battery|battery charge|battery level|battery percent|state of charge",
		"display_dimmed": "screen|dimmed|screen dimmed|display off|dim mode",
	},
	"events": {
		"event_id":     "event number|event id|report number|incident number",
		"transport_id": "trip number|trip",
		"recorded_at":  "event time|event date|date time of event|recorded|date event|date time~0.7|time~0.5|date~0.5|when did it happen",
		"kind":         "event type|event category|type|event|event kind|code~0.5|classification~0.7|what type",
		"harm":         "harm|harm level|level of harm|severity|severity of harm|patient outcome~0.8|degree of harm|outcome~0.5",
		"preventable":  "preventable|was preventable",
		"device_id":    "device|device number|device involved|ventilator~0.7",
		"narrative":    "narrative|what happened|event description|free text|details of event",
	},
	"devices": {
		"device_id":                        "device number|device|asset number|device tag|asset tag|device serial number|inventory number",
		"kind":                             "device type|type|device kind|device category|description~0.8|device description|device class",
		"in_service_on":                    "commissioned|in service|date in service|in service since|service start|purchase date~0.6|in use since|first use",
		"retired_on":                       "retired|date retired|out of service|end of life~0.8|scrapped|service end",
		"purchase_cost":                    "purchase cost|cost|purchase value|cost new|value~0.5",
		"battery_endurance":                "battery life|battery duration|battery runtime|battery minutes|battery time",
		"battery_endurance_display_dimmed": "battery life dimmed|battery life screen off|battery life screen dimmed|battery dimmed",
	},
	"service": {
		"device_id":   "device number|device|asset number|device serial number|inventory number|ventilator~0.7|asset tag",
		"removed_at":  "removed|removed from service|out of service|out of use|out|date out|down since|failed~0.6|start~0.5|sent~0.6",
		"returned_at": "returned|returned to service|back|back in service|date back|end~0.5|date returned",
		"reason":      "reason|service type|type~0.5|reason for removal|work type|fault type|kind of work",
		"cost":        "cost|repair cost|service cost|invoice~0.7|invoice amount",
	},
	"checks": {
		"transport_id": "trip number|trip|for trip|before trip",
		"device_id":    "device number|device|ventilator|device serial number",
		"recorded_at":  "recorded|checked|checked time|check time|date time~0.8|check date|time~0.6|date~0.5|performed",
		"kind":         "check|check type|check item|check kind|item|check name",
		"result":       "result|check result|ok|pass fail|passed|status~0.6|outcome",
	},
	"carried": {
		"transport_id": "trip number|trip",
		"device_id":    "device number|device|device carried|kit|item|device taken|device on board",
	},
	"notes": {
		"noted_on":  "noted|date noted|date|entry date|decision date",
		"measure":   "measure|indicator",
		"kind":      "kind|entry type|type|type of entry",
		"text":      "text|what we agreed|what changed|note|decision|action text~0.8|what was agreed|description~0.6",
		"owner":     "owner|action owner|who~0.7|assigned to~0.8|lead",
		"closed_on": "closed|completed|date closed|date completed|done on|closed date",
	},
}

// phrase is one synonym: its concepts and how much a header says that has all of them and no other.
type phrase struct {
	concepts []string
	weight   float64
}

// phrases of each column, by table and column; those of quantities stand under the table "quantities".
var phrases = parsePhrases()

func parsePhrases() map[string]map[string][]phrase {
	all := map[string]map[string][]phrase{}
	for table, columns := range synonyms {
		all[table] = map[string][]phrase{}
		for column, text := range columns {
			all[table][column] = []phrase{{meaning(strings.ReplaceAll(column, "_", " ")), 1}}
			for p := range strings.SplitSeq(text, "|") {
				all[table][column] = append(all[table][column], parsePhrase(p))
			}
		}
	}
	return all
}

func parsePhrase(text string) phrase {
	words, weight, weaker := strings.Cut(text, "~")
	p := phrase{meaning(words), 1}
	if weaker {
		p.weight, _ = strconv.ParseFloat(weight, 64)
	}
	return p
}

// likeness says from 0 to 1 how well a header's concepts fit a column's names: twice the weight of the shared concepts by the
// weight of both, for the best phrase.
func likeness(header []string, names []phrase) (best float64) {
	for _, p := range names {
		shared, all := 0.0, 0.0
		for _, c := range header {
			all += weightOf(c)
			for _, o := range p.concepts {
				if o == c {
					shared += weightOf(c)
				}
			}
		}
		for _, c := range p.concepts {
			all += weightOf(c)
		}
		if all > 0 {
			best = max(best, p.weight*min(1, 2*shared/all))
		}
	}
	return best
}
