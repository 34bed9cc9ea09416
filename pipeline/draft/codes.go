package draft

import (
	"maps"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

// codeWords are the texts under which exports bring the codes of a column: words or phrases parted by a bar, folded as headers
// are. The codes' own names are always known. Common practice, from memory.
var codeWords = map[string]map[string]string{
	"transports.vehicle": {
		"ground":     "grd|ground|road|ambulance|truck|land|route|nef|rtw|ktw|itw|car|g|gnd|terrestre|terrestrial|ground ambulance|surface|strasse|ambulanz|babynaw",
		"rotor":      "heli|helicopter|rotor|rotary|rw|helico|rth|ith|hubschrauber|rotor wing|rotary wing|helo|air rotor|hems|helikopter|rotorcraft",
		"fixed_wing": "fw|fixed wing|fixed|plane|airplane|aeroplane|jet|avion|ambulanzjet|flugzeug|aircraft|aereo|aviao|air fixed|fixedwing|vliegtuig",
	},
	"transports.urgency": {
		"immediate": "stat|immediate|emergent|emergency|time critical|critical|p1|code 3|lights|notfall|1|a1|red",
		"urgent":    "urgent|urg|p2|dringend|expedited|2|yellow",
		"planned":   "planned|scheduled|elective|routine|p3|geplant|non urgent|3|return|repatriation|green",
	},
	"transports.disposition": {
		"completed": "complete|completed|done|transported|finished|ok|closed",
		"cancelled": "cancelled|canceled|cancel|cx|stood down|stand down|aborted|storniert|cancelled en route",
		"declined":  "declined|refused|turned down|not accepted|rejected|unable|missed|abgelehnt",
	},
	"transports.disposition_reason": {
		"no_team": "no team|no crew|no staff|team unavailable|staffing", "no_vehicle": "no vehicle|no ambulance|vehicle unavailable",
		"no_equipment": "no equipment|no ventilator|equipment", "weather": "weather|wx|fog", "patient_condition": "patient condition|improved|died|too unstable|condition",
		"referrer": "referrer|referring|referring request|referrer cancelled", "other": "other|misc",
	},
	"transports.delay_reason": {
		"no_team": "no team|no crew|no staff|team busy|team out|staffing", "no_vehicle": "no vehicle|no ambulance|vehicle", "no_equipment": "no equipment|equipment",
		"weather": "weather|wx|fog", "other": "other",
	},
	"transports.sex": {"female": "f|female|girl|w|weiblich|vrouw|fille|woman|mujer|nina|femmina|femme|femenino|feminin", "male": "m|male|boy|maennlich|garcon|man|varon|nino|maschio|homme|masculino|masculin", "undetermined": "u|x|i|undetermined|unknown|indeterminate|ambiguous|unbestimmt"},
	"transports.diagnosis": {
		"respiratory": "resp|respiratory|rds|lung|pulmonary|respiratory failure|pphn|airway", "prematurity": "prem|prematurity|preterm|premature",
		"cardiac": "cardiac|heart|chd|congenital heart|card|cardiology", "surgical": "surgical|surgery|surg|abdominal|gastroschisis", "neurological": "neuro|neurological|hie|seizures|neurology|brain",
		"infection": "sepsis|infection|infectious|septic", "metabolic": "metabolic|metab|hypoglycemia|hypoglycaemia", "other": "other|misc|sonstige|autre",
	},
	"transports.intubated_after_for": {"respiratory": "respiratory|resp", "surgery": "surgery|surgical|or|theatre", "other": "other"},
	"assessments.stage": {
		"referring_arrival":   "referring arrival|ref arrival|arrival referring|arrival at referring|on arrival|first contact|initial|arr ref|arrival ref|pick up|uebernahme|baseline|at referring|t1",
		"referring_departure": "referring departure|ref departure|departure|departure referring|departing|on departure|leaving|dep ref|abfahrt|pre departure|depart|loaded|t2",
		"receiving_arrival":   "receiving arrival|rec arrival|arrival receiving|arrival at receiving|hand over|handover|arr rec|ankunft|final|end|nicu arrival|destination|at receiving|t3",
	},
	"assessments.respiratory_status": {"none": "none|normal|no distress|nil|mild", "moderate": "moderate|mod", "severe": "severe|sev|apnea|apnoea|gasping|intubated"},
	"assessments.response":           {"vigorous": "vigorous|active|alert|normal|reactive", "lethargic": "lethargic|floppy|drowsy|reduced|hypotonic", "none": "none|unresponsive|seizure|seizures|paralysed|paralyzed|sedated|muscle relaxed|no response"},
	"settings.mode": {
		"simv": "simv|simv vg|simv ps|sync imv|simv pc", "assist_control": "ac|a c|assist control|assist|pc ac|sippv|ptv|a/c", "pressure_support": "psv|ps|pressure support|spn|cpap ps",
		"cmv": "cmv|ippv|imv|mandatory|controlled", "cpap": "cpap|ncpap|n cpap|nasal cpap|bubble cpap", "nippv": "nippv|niv|nimv|nsippv|n ippv|bipap|biphasic|duopap",
		"high_flow": "hfnc|high flow|hhfnc|hhhfnc|highflow|hi flow|hfnp", "low_flow": "low flow|lfnc|nc|nasal cannula", "hfov": "hfo|hfov|oscillation|oscillator|hfv", "hfjv": "hfjv|jet|jet ventilation",
		"standby": "standby|stby|stand by|sb|pause", "off": "off|aus|power off",
	},
	"settings.interface": {
		"tube": "ett|tube|et tube|et|oett|nett|tubus|endotracheal|intubated", "tracheostomy": "trach|tracheostomy|trachy|trache", "nasal": "prongs|nasal|nasal prongs|cannula|nc|nasal cannula|nasal mask|ram",
		"mask": "mask|face mask|fm|maske", "laryngeal_mask": "lma|laryngeal mask|sga|igel", "hood": "hood|head box|headbox|oxyhood", "none": "none|no interface|room air|keine",
	},
	"alarms.priority": {"high": "h|high|crisis|red|1|alarm|hoch|critical|emergency|haute", "medium": "m|med|medium|warning|yellow|2|mittel|caution|moyenne", "low": "l|low|advisory|3|info|blue|cyan|niedrig|message|basse"},
	"cylinders.gas":   {"oxygen": "o2|oxygen|sauerstoff|zuurstof|oxygene|oxy|medical oxygen|med o2", "air": "air|luft|lucht|medical air|med air|druckluft", "nitric_oxide": "no|ino|nitric|nitric oxide|inomax_none"},
	"cylinders.supply": {"carried": "carried|portable|transport|incubator|tragbar|onboard kit|trolley|stretcher", "vehicle": "vehicle|ambulance|truck|aircraft|fahrzeug|main|onboard|on board|voertuig|helicopter",
		"wall": "wall|hospital|pipeline|piped|house|wand"},
	"power.source": {"external": "ac|external|mains|line|dc|12v|ext|plugged|plugged in|wall|inverter|ac power|netz|vehicle|shore|24v|dc power|external power|ext dc|ext ac", "battery": "battery|batt|bat|internal|internal battery|on battery|akku|int",
		"off": "off|none|no power|aus|standby off"},
	"events.kind": {
		"unplanned_extubation": "unplanned extubation|accidental extubation|extubation|extub|self extubation|ett dislodged|tube dislodged|tube out", "tube_obstruction": "tube obstruction|ett obstruction|blocked tube|tube blocked|blocked ett|obstructed ett|mucus plug",
		"line_dislodgement": "line dislodged|line dislodgement|iv line dislodged|line|iv dislodged|lost access|uvc out|iv lost|line loss|loss of iv access|access lost|iv infiltration|lost line", "air_leak": "air leak|pneumothorax|ptx|pneumo",
		"cardiac_arrest": "cardiac arrest|arrest|cpr|asystole|code|chest compressions", "hypotension": "hypotension|hypot|low bp|low blood pressure", "bradycardia": "bradycardia|brady", "desaturation": "desaturation|desat|hypoxia|low sats|prolonged desaturation",
		"medication_error": "medication error|medication|med error|med err|drug error|drug|medication event|wrong dose|drug related", "equipment_failure": "equipment failure|equipment malfunction|equipment|equip|equipment problem|device failure|device fault|ventilator failure|device problem|equipment fault|monitor failure|pump failure",
		"gas_supply_failure": "gas supply failure|gas failure|gas|out of oxygen|oxygen failure|ran out of oxygen|o2 failure|gas supply", "power_failure": "power failure|power|power loss|battery failure|lost power|inverter failure|loss of power",
		"patient_injury": "patient injury|injury|burn|patient fall|skin injury|patient harm|skin tear", "crew_injury": "crew injury|staff injury|injury crew|injury staff|needlestick",
		"vehicle_incident": "vehicle incident|vehicle|crash|accident|rtc|collision|vehicle breakdown|vehicle failure|ambulance breakdown|flat tire|breakdown", "other": "other|misc|autre|sonstiges|other event",
	},
	"events.harm": {"none": "none|no harm|nil|near miss|0|no|no injury|kein|keine", "mild": "mild|minor|low|minimal|1|leicht|temporary|slight|insignificant", "moderate": "moderate|medium|mod|2|mittel", "severe": "severe|major|high|3|serious|schwer|permanent|significant",
		"death": "death|died|fatal|4|catastrophic|tod"},
	"devices.kind": {
		"ventilator": "ventilator|vent|transport ventilator|respirator|beatmungsgeraet|neonatal ventilator", "monitor": "monitor|patient monitor|transport monitor|vital signs monitor|multiparameter monitor", "incubator": "incubator|transport incubator|inkubator|isolette|couveuse",
		"pump": "pump|syringe pump|infusion pump|syringe driver|perfusor|iv pump|spritzenpumpe", "nitric_oxide_delivery": "no delivery|nitric oxide delivery|ino|ino delivery|nitric|inhaled nitric oxide|nitric oxide system|no device|nitric delivery", "other": "other|misc|defibrillator|suction|aed|warmer|aspirator|suction unit|sonstiges",
	},
	"service.reason": {"failure": "failure|defekt|fault|repair|broken|breakdown|corrective|failed|unplanned|cm|damage|reparatur|corrective maintenance", "preventive": "preventive|pm|ppm|planned|stk|maintenance|preventive maintenance|inspection|wartung|scheduled|annual|annual inspection|planned maintenance|calibration",
		"recall": "recall|rueckruf|field notice|safety notice|fsn|manufacturer recall|field safety notice", "other": "other|sonstiges|misc|loan|upgrade|software update"},
	"checks.kind": {"leak": "leak|leak test|circuit leak test|circuit test|leakage|leak check|lecktest|circuit|tightness|dichtheit", "oxygen_sensor": "oxygen sensor|o2 cell|o2 sensor|o2 cal|oxygen cell|fio2 sensor|o2 calibration|o2 cell calibration|fio2 calibration|oxygen calibration", "flow_sensor": "flow sensor|flow sensor cal|flow cal|flow calibration|pneumotach|flowsensor|flow sensor calibration",
		"battery": "battery|battery check|battery charge|batt|battery test|akku", "alarm": "alarm|alarm test|alarms|alarm check|alarms tested|alarm function", "gas_contents": "gas contents|cylinder contents|gas|cylinders|cylinder pressure|o2 contents|tank pressure|gas check|gas supply|cylinder check|o2 tank|oxygen contents|tank contents", "other": "other|cleaning|visual|misc|suction|clean"},
	"checks.result": {"pass": "pass|passed|ok|p|yes|y|io|bestanden|good|satisfactory|done|true", "fail": "fail|failed|f|no|n|not ok|nok|nicht ok|bad|unsatisfactory|false", "skipped": "skipped|not done|na|n a|omitted|skip|nd|deferred|not tested|not performed"},
	"notes.kind":    {"change": "change|practice change|changed|new practice|intervention", "action": "action|task|todo|to do|action item|agreed action"},
}

// flagWords are texts for yes and no beside those that a load reads by itself.
var flagWords = map[string]string{"true": "true|yes|y|1|t|on|ja|oui|si|x|j|checked|done|wahr|o|vrai", "false": "false|no|n|0|f|off|nein|non|nee|not done|none|falsch|faux|unchecked"}

// nativeFlags are the texts of flags that a load reads without a layout.
var nativeFlags = []string{"true", "yes", "y", "t", "1", "on", "false", "no", "n", "f", "0", "off"}

// codesOf maps the texts of a column's cells to codes. A text that fits no code, or two, is left out.
func codesOf(table string, column records.Column, texts []string) map[string]string {
	found := map[string]string{}
	for _, text := range texts {
		if code := codeOf(table, column, text); code != "" {
			found[text] = code
		}
	}
	return found
}

// codeOf finds the code of a text: by the whole text, else, in columns of codes, by the longest part of it that is a phrase of
// one code alone, else by the beginning of a word.
func codeOf(table string, column records.Column, text string) string {
	if column.Kind == records.Flag {
		return spokenFlags.only(text)
	}
	if code := wholeCode(table, column, text); code != "" {
		return code
	}
	words := spokenCodes[table+"."+column.Name]
	if code := words.within(plainly(text)); code != "" {
		return code
	}
	return words.begun(plainly(text))
}

// wholly says that a text stands for its code by itself, not by a part.
func wholly(table string, column records.Column, text string) bool {
	return column.Kind == records.Flag || wholeCode(table, column, text) != ""
}

func wholeCode(table string, column records.Column, text string) string {
	switch {
	case table == "readings" && column.Name == "quantity":
		return quantityOf(text)
	case table == "alarms" && column.Name == "condition":
		return conditionOf(text)
	}
	plain := strings.ReplaceAll(fold(strings.TrimSpace(text)), " ", "_")
	if slices.Contains(column.Codes, plain) {
		return plain
	}
	if code := spokenCodes[table+"."+column.Name].only(text); code != "" || table+"."+column.Name != "assessments.stage" {
		return code
	}
	return stageOf(text)
}

// stageOf reads a stage as headers bear it: arrival at the referring hospital.
func stageOf(text string) string {
	for _, f := range facets["assessments"] {
		if f.takes(features{concepts: meaning(text)}) {
			return f.value
		}
	}
	return ""
}

// spoken are the codes by each text that stands for them; several codes for one text leave it undecided.
type spoken map[string][]string

func spokenBy(words map[string]string) spoken {
	all := spoken{}
	for _, code := range slices.Sorted(maps.Keys(words)) {
		for p := range strings.SplitSeq(words[code], "|") {
			if key := plainly(p); !slices.Contains(all[key], code) {
				all[key] = append(all[key], code)
			}
		}
	}
	return all
}

func plainly(text string) string { return strings.Join(wordsOf(text), " ") }

// The tables of code words, ready to be asked.
var (
	spokenCodes  = spokenColumns()
	spokenFlags  = spokenBy(flagWords)
	spokenAlarms = spokenBy(plainAlarms)
)

func spokenColumns() map[string]spoken {
	all := map[string]spoken{}
	for column, words := range codeWords {
		all[column] = spokenBy(words)
	}
	all["alarms.condition"] = spokenBy(plainAlarms)
	return all
}

// only gives the one code of which a text is a phrase; two codes that claim it leave it undecided.
func (s spoken) only(text string) string {
	if codes := s[plainly(text)]; len(codes) == 1 {
		return codes[0]
	}
	return ""
}

// within gives the code of the longest phrase that the words of a text hold, if no other code has one as long. Phrases of one
// short word say too little.
func (s spoken) within(said string) string {
	longest, claims := shortest, map[string]bool{}
	for phrase, codes := range s {
		if len(phrase) < longest || !strings.Contains(" "+said+" ", " "+phrase+" ") {
			continue
		}
		if len(phrase) > longest {
			longest, claims = len(phrase), map[string]bool{}
		}
		for _, code := range codes {
			claims[code] = true
		}
	}
	return theOnly(claims)
}

func theOnly(claims map[string]bool) string {
	for code := range claims {
		if len(claims) == 1 {
			return code
		}
	}
	return ""
}

// shortest beginning of a word that may stand for it, or of it for another.
const shortest = 3

// begun gives the one code among whose words is one that the text begins (Mon for monitor), or that begins the text
// (moderately). It takes single words alone.
func (s spoken) begun(said string) string {
	found := ""
	if len(said) < shortest || strings.Contains(said, " ") {
		return ""
	}
	for word, codes := range s {
		abbreviated := strings.HasPrefix(word, said)
		lengthened := len(word) > shortest && strings.HasPrefix(said, word)
		if !abbreviated && !lengthened {
			continue
		}
		if len(codes) > 1 || found != "" && found != codes[0] {
			return ""
		}
		found = codes[0]
	}
	return found
}

// alarmsOnly is the quantity that conditions of alarms name; logs of readings call the same fio2.
const alarmsOnly = "oxygen"

// quantityOf finds the quantity that a name of a signal stands for: one that its words fit wholly, and no other.
func quantityOf(text string) string {
	best, second, found := 0.0, 0.0, ""
	name, _ := parted(text)
	for _, q := range records.Quantities() {
		if q.Name == alarmsOnly {
			continue
		}
		score := likeness(meaning(name), phrases["quantities"][q.Name])
		if strings.EqualFold(strings.ReplaceAll(name, " ", "_"), q.Name) {
			score = 2
		}
		switch {
		case score > best:
			best, second, found = score, best, q.Name
		case score > second:
			second = score
		}
	}
	if best < 0.8 || best-second < 0.1 {
		return ""
	}
	return found
}

// plainAlarms are conditions without a limit crossed, by the words of their texts.
var plainAlarms = map[string]string{
	"apnea": "apnea|apnoea|apnea alarm|no breath", "disconnection": "disconnection|disconnect|circuit disconnect|circuit disconnected|patient disconnected|patient disconnect|diskonnektion|tube disconnect|disconnected|disconnect patient",
	"occlusion": "occlusion|circuit occlusion|obstruction|blocked|tube blocked|occluded|circuit occluded|obstructed", "leak": "leak|leak high|high leak|leakage|tube leak|excessive leak", "gas_supply_low": "gas supply low|o2 supply low|low o2 supply|oxygen supply low|low gas supply|gas supply|o2 supply|gas inlet low|low supply pressure|air supply low|o2 inlet low|low o2 pressure|supply pressure low",
	"battery_low": "battery low|low battery|batt low|battery|low batt|akku schwach|replace battery|charge battery", "power_loss": "power loss|power failure|ac lost|no ac|mains lost|power lost|external power lost|loss of power|ac power loss|ac power lost|loss of external power|mains failure|ac loss|ac disconnected", "technical": "technical|probe off|sensor off|lead off|leads off|sensor fault|system error|check sensor|device fault|technical fault|flow sensor fault|flow sensor|sensor failure|sensor error|probe disconnected|ecg leads off|no sensor|lead fault|technical error",
	"other": "other|misc",
}

// conditionOf finds the condition of an alarm's text: a limit crossed (a quantity with high or low), or one of plainAlarms.
func conditionOf(text string) string {
	if code := spokenAlarms.only(text); code != "" {
		return code
	}
	plain := strings.ReplaceAll(fold(strings.TrimSpace(text)), " ", "_")
	var rest []string
	side := ""
	for _, word := range wordsOf(text) {
		switch word {
		case "high", "hi", "hoch", "above", "upper", "tachy", "haut", "max":
			side = "high"
		case "low", "lo", "tief", "below", "niedrig", "bas", "min":
			side = "low"
		case "alarm", "limit":
		default:
			rest = append(rest, word)
		}
	}
	quantity := quantityOf(strings.Join(rest, " "))
	if quantity == "fio2" {
		quantity = alarmsOnly
	}
	for _, c := range records.Conditions() {
		if c.Name == plain || side != "" && quantity != "" && c.Name == quantity+"_"+side {
			return c.Name
		}
	}
	return ""
}
