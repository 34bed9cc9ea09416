package draft

import (
	"slices"
	"strings"
	"unicode"

	"tripwake/pipeline/units"
)

// concepts brings the words of headers together that mean one thing: the first word of a line names the concept. The words
// are common practice of transport teams in English, with some German, French, Dutch and Spanish; there is no standard to
// hold them against. A word stands in one line only.
var concepts = index(
	"arrive arr arrival arrived arrives arriving ankunft arrivee aankomst llegada",
	"depart dep departed departs departure departing left leave leaves leaving abfahrt vertrek salida",
	"referral",
	"referring ref refer sending origin scene dgh quellklinik maternite abgebende verwijzend outlying",
	"receiving rec recv destination dest nicu picu ziel zielklinik chu ontvangend accepting tertiary",
	"patient pt bedside patienten patientenkontakt bambino infant baby neonate",
	"base station standort garage hangar home",
	"call called calls phone anruf appel oproep llamada",
	"request requested requests anforderung demande anfrage",
	"received recd taken rcvd eingang",
	"accept accepted acceptance agreed",
	"task tasked tasking activated activation activate dispatch dispatched alarmierung alerted assigned notified go",
	"roll rolling wheels skids mobile enroute chocks takeoff underway mobilised mobilized",
	"handover handoff handed uebergabe overdracht transferred transfer relais",
	"care",
	"available ready frei disponible beschikbaar",
	"service",
	"trip run transport transports mission case job retrieval einsatz rit dossier incident_no einsatznr ritnummer incidentnumber fahrt journey auftrag dossiernr",
	"number no nr num id identifier key n code_no",
	"team crew_base",
	"vehicle fahrzeug vecteur voertuig asset_type conveyance",
	"mode modus",
	"type kind category art categorie sort",
	"urgency priority prio dringlichkeit acuity urgence",
	"disposition",
	"outcome result ergebnis",
	"status",
	"reason why grund cause motif",
	"facility hospital hospitals site klinik hopital ziekenhuis unit_from",
	"from von",
	"to nach",
	"mrn fallnummer nhs pid",
	"sex gender geschlecht sexe geslacht",
	"gestation ga gest gestational gestationsalter schwangerschaftswoche ssw terme sa ega",
	"age alter leeftijd dol pna",
	"day days tag tage lebenstag",
	"birth geburt naissance born",
	"weight wt gewicht poids bw_any peso",
	"bw geburtsgewicht birthweight",
	"diagnosis diagnose dx problem diagnostic",
	"group gruppe class",
	"cool cooled cooling therapeutic_hypothermia kuehlung tth hypothermia",
	"ventilator vent respirator beatmungsgeraet ventilateur machine",
	"device geraet geraetenr asset equipment serial sn unit instrument apparat appareil toestel",
	"monitor bed",
	"plan planned est estimated expected predicted needed required eta",
	"duration minutes length time_min dauer",
	"oxygen o2 oxy sauerstoff zuurstof oxygene fio2_any",
	"air luft lucht medair",
	"tube ett tubus etube intubated",
	"confirm confirmed verified",
	"intubation intub intubations",
	"attempt attempts tries versuche",
	"success successful",
	"structured sbar checklist_used script",
	"die died death deceased expired_pt",
	"stage point phase where_in_transport",
	"temperature temp temperatur tmp tskin tcore taxillary temps temp1",
	"rate frequency_set freq",
	"respiratory resp breath breaths breathing respiration",
	"rr rf ftot",
	"heart hr pulse puls cardiac hf fc herzfrequenz",
	"spo2 sats sat saturation sao2 spo sattigung",
	"fio2 fio2_set fraction inspired",
	"systolic sbp sys systol systolisch",
	"pressure press druck pression psi_pressure p begindruk_part",
	"distress wob work",
	"response responsiveness consciousness tone vigor reaction",
	"ph",
	"pco2 paco2 co2_gas",
	"po2 pao2",
	"glucose gluc bg blutzucker glycemie glykaemie bz sugar",
	"date datum fecha jour",
	"time zeit uhrzeit heure tijd hora when at stamp timestamp datetime ts zeitpunkt clock unixtime",
	"recorded charted logged recording measured_at checked abnahme sampled occurred event_time",
	"event incident vorfall ereignis evenement",
	"report",
	"interface patientinterface circuit_type",
	"flow debit",
	"continuous",
	"pip ppeak peak pinsp pmax",
	"peep eep pep endexpiratory",
	"ps psupport",
	"support",
	"inspiratory insp inspiration",
	"ti tinsp",
	"trigger sensitivity sens",
	"nitric ino no_ppm nox",
	"map pmean paw mawp mpaw",
	"mean avg average mittel",
	"airway",
	"amplitude deltap ampl delta power_amp",
	"hz frequency frequenz",
	"set setting settings",
	"quantity parameter param measurement label channel item name",
	"value messwert reading wert valeur waarde val",
	"units einheit unite eenheid uom",
	"vte vtexp vti vt expired exhaled tidal",
	"volume vol",
	"minute min_vol",
	"mv mve mvexp mvi",
	"leak leakage leck fuite lek",
	"etco2 endtidal co2 petco2 capno",
	"nibp abp bp ibp art_bp blutdruck",
	"blood",
	"battery batt akku bat soc batterie",
	"charge charged level_charge",
	"supply inlet source pipeline_supply feed",
	"start onset begin beginning before initial begindruk begindatum anfang started full",
	"end cleared clear ended after final einddruk ende fin stop stopped finish empty_at resolved",
	"silenced silence muted ack acknowledged paused audio",
	"alarm alarms alert message condition",
	"severity level",
	"limit threshold grenzwert setpoint",
	"observed actual measured triggering",
	"cylinder cyl tank bottle flasche fles bouteille",
	"gas gases gaz",
	"size inhoud flesinhoud groesse taille",
	"concentration conc",
	"open opened",
	"close closed dicht shut",
	"mass",
	"screen display dim dimmed brightness backlight",
	"harm injury schaden",
	"preventable avoidable vermeidbar",
	"narrative summary description happened details story comment comments freetext",
	"in_service commissioned inbetriebnahme installed acquired deployed",
	"retired disposed decommissioned ausgemustert withdrawn",
	"purchase acquisition bought anschaffung",
	"cost price kosten cout amount paid preis",
	"life endurance runtime",
	"removed ausser out withdrawn_on",
	"returned back wieder einsatzbereit return",
	"test check pruefung checks",
	"ok passed",
	"noted",
	"agreed_text what",
	"text wording",
	"owner responsible verantwortlich lead",
	"completed complete done",
	"measure indicator",
	"carried taken_along kit",
	"high low",
)

// small words say little by themselves: they count a tenth in the likeness of two names.
var small = []string{"date", "time", "of", "the", "and", "in", "on", "a", "is", "was", "per", "by", "beim", "der", "des", "du", "de", "la", "le", "complete", "completed", "set", "value", "decision", "used", "was", "with", "for", "group"}

func index(lines ...string) map[string]string {
	all := map[string]string{}
	for _, line := range lines {
		words := strings.Fields(line)
		for _, word := range words {
			all[word] = words[0]
		}
	}
	return all
}

// fold brings a text to small letters without accents, as the tables of words are written.
func fold(text string) string { return accents.Replace(strings.ToLower(text)) }

var accents = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "é", "e", "è", "e", "ê", "e", "ë", "e", "à", "a", "â", "a",
	"ç", "c", "ô", "o", "ó", "o", "î", "i", "ï", "i", "í", "i", "á", "a", "ñ", "n", "ú", "u", "₂", "2", "°", "", "'", "", "’", "", "/c", "/c")

var numberSigns = strings.NewReplacer("#", " no ", "n°", "no", "N°", "no")

// wordsOf parts a name into words: at blanks and signs, and where small letters are followed by a capital (DateTime).
func wordsOf(name string) []string {
	var parted []rune
	runes := []rune(name)
	for i, r := range runes {
		if i > 1 && unicode.IsUpper(r) && unicode.IsLower(runes[i-1]) && unicode.IsLower(runes[i-2]) {
			parted = append(parted, ' ')
		}
		parted = append(parted, r)
	}
	text := numberSigns.Replace(string(parted))
	return strings.FieldsFunc(fold(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// meaning gives the concepts of a name, each once, in order.
func meaning(name string) []string {
	var all []string
	for _, word := range wordsOf(name) {
		if concept := conceptOf(word); !slices.Contains(all, concept) {
			all = append(all, concept)
		}
	}
	return all
}

// conceptOf finds the concept of a word; a long word may stand for one that it begins.
func conceptOf(word string) string {
	if concept, ok := concepts[word]; ok {
		return concept
	}
	if singular := strings.TrimSuffix(word, "s"); concepts[singular] != "" {
		return concepts[singular]
	}
	return word
}

func weightOf(concept string) float64 {
	if slices.Contains(small, concept) {
		return 0.1
	}
	if concept == "number" {
		return 0.3
	}
	return 1
}

// parted parts a header into its name and the unit at its end, in brackets or as the last word: "BW (lb)", "PIP cmH2O",
// "co2_kpa". The unit must convert to something; else all of the header is the name.
func parted(header string) (name, unit string) {
	text := strings.TrimSpace(header)
	if at := strings.IndexAny(text, "(["); at > 0 {
		inner := strings.Trim(text[at:], "()[] ")
		if u, ok := unitOf(inner, true); ok {
			return strings.TrimSpace(text[:at]), u
		}
		return text, ""
	}
	at := strings.LastIndexAny(text, " _")
	if at <= 0 {
		return text, ""
	}
	if u, ok := unitOf(text[at+1:], false); ok {
		return strings.TrimSpace(text[:at]), u
	}
	return text, ""
}

// unitOf finds a unit; a bare last word must not be one that is as well an ordinary word of headers.
func unitOf(text string, bracketed bool) (string, bool) {
	if _, ok := units.Find(text); !ok || text == "" {
		return "", false
	}
	ordinary := []string{"a", "m", "h", "c", "1", "ph", "hour", "minute", "day", "month", "year", "time", "mi", "d"}
	if !bracketed && (slices.Contains(ordinary, strings.ToLower(text))) {
		return "", false
	}
	return text, true
}
