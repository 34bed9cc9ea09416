package draft

import (
	"slices"
	"strings"
	"unicode"

	"tripwake/pipeline/units"
)

// vocabulary brings the words of headers together that mean one thing: the first word of a line names the concept. The words
// are common practice of transport teams in English, with some German, French, Dutch and Spanish; there is no standard to
// hold them against. A word stands in one line only.
var vocabulary = []string{
	"arrive arr arrival arrived arrives arriving ankunft arrivee aankomst llegada landed lands landing touchdown reached arrivo llega chegada ankomst ank aankomen",
	"depart dep departed departs departure departing left leave leaves leaving abfahrt vertrek salida lifted lift lifts liftoff airborne partenza saida sortie avgang depuis vertrokken",
	"referral",
	"referring ref refer sending origin scene dgh quellklinik maternite abgebende verwijzend outlying emisor origen invio inviante emetteur demandeur afzender index peripheral district community birthing",
	"receiving rec recv destination dest nicu picu ziel zielklinik chu ontvangend accepting tertiary receptor destino ricevente accogliente receveur ontvanger mottagande nnu level3 admitting",
	"patient pt bedside patienten patientenkontakt bambino infant baby neonate bambin paciente paziente nino child",
	"base station standort garage hangar home sede basis hq quarters",
	"call called calls phone anruf appel oproep llamada ringing llamado chiamata chamada telefonat rang",
	"request requested requests anforderung demande anfrage rqst req reqd inquiry",
	"received recd rcvd eingang",
	"accept accepted acceptance agreed acepta aceptado akzeptiert angenommen acceptee geaccepteerd",
	"task tasked tasking activated activation activate dispatch dispatched alarmierung alerted assigned notified go activacion launched launch mobilization mobilisation paged page",
	"roll rolling wheels skids mobile enroute chocks takeoff underway mobilised mobilized ausruecken ausgerueckt responding rolled",
	"handover handoff handed uebergabe overdracht transferred transfer relais entrega consegna offload offloaded stretcher unloaded overgave remise signout passage admit admitted admission",
	"care",
	"available ready frei disponible beschikbaar disponibile beschikb greenlight",
	"service",
	"trip run transport transports mission case job retrieval einsatz rit dossier einsatznr ritnummer incidentnumber fahrt journey auftrag dossiernr flight flt traslado trasporto transfert transfers episode mision missione callout rideno booking",
	"number no nr num id identifier key n numero nro nummer lfd pk",
	"team equipo equipe mannschaft squad",
	"vehicle fahrzeug vecteur voertuig conveyance vehiculo veicolo veiculo transportmittel aircraft resource means",
	"mode modus",
	"type kind category art categorie sort tipo typ kinds nature",
	"urgency priority prio dringlichkeit acuity urgence urgencia urgenza triage",
	"disposition",
	"outcome result ergebnis",
	"status",
	"reason why grund cause motif motivo raison",
	"facility hospital hospitals site klinik hopital ziekenhuis hosp ospedale hospitales sykehus sjukhus ward centre center clinic haus",
	"from von",
	"to nach",
	"mrn fallnummer nhs pid",
	"sex gender geschlecht sexe geslacht sexo sesso kon",
	"gestation ga gest gestational gestationsalter schwangerschaftswoche ssw terme sa ega gestacional gestazionale gestationnel eg ag gwk",
	"age alter leeftijd dol pna edad idade ageatcall lebensalter postnatal chronological",
	"day days tag tage lebenstag dias giorni jours dagen dage",
	"birth geburt naissance born nacimiento nascita geboorte fodsel atbirth",
	"weight wt gewicht poids peso vekt vikt pes kilos",
	"bw geburtsgewicht birthweight bwt geboortegewicht pesonacimiento birthwt",
	"diagnosis diagnose dx problem diagnostic diagnostico diagnosi indication",
	"group gruppe class",
	"cool cooled cooling kuehlung tth hypothermia chilled koeling refroidissement hipotermia",
	"ventilator vent respirator beatmungsgeraet ventilateur machine ventilador ventilatore beademing",
	"device geraet geraetenr asset equipment serial sn unit instrument apparat appareil toestel src gear apparecchio dispositivo tool sernum inventory stock incubator",
	"monitor bed",
	"plan planned est estimated expected predicted needed required eta forecast calculated calc anticipated",
	"duration minutes length dauer durata duracion duree",
	"oxygen o2 oxy sauerstoff zuurstof oxygene oxigeno ossigeno oxigenio",
	"air luft lucht medair aire aria compressed",
	"tube ett tubus etube intubated",
	"confirm confirmed verified",
	"intubation intub intubations",
	"attempt attempts tries versuche",
	"success successful",
	"structured sbar script",
	"die died death deceased",
	"stage point phase",
	"temperature temp temperatur tmp tskin tcore taxillary temps temp1 temperatura tax trect tair ax axilla t1 t2",
	"rate freq frecuencia frequenza frequence",
	"respiratory resp breath breaths breathing respiration respiratoria respiratorio",
	"rr rf ftot",
	"heart hr pulse puls cardiac hf fc herzfrequenz pulso ecg",
	"spo2 sats sat saturation sao2 spo sattigung sato2 oxymetrie",
	"fio2 fraction inspired",
	"systolic sbp sys systol systolisch syst sistolica sap",
	"pressure press druck pression p presion pressione pressao",
	"distress wob work",
	"response responsiveness consciousness tone vigor reaction activity reactivity alertness",
	"ph",
	"pco2 paco2",
	"po2 pao2",
	"glucose gluc bg blutzucker glycemie glykaemie bz sugar glicemia glucemia dextro",
	"date datum fecha jour data",
	"time zeit uhrzeit heure tijd hora when at stamp timestamp datetime ts zeitpunkt clock unixtime hour ora uur klokslag",
	"recorded charted logged recording checked abnahme sampled occurred taken utc collected obs drawn entered",
	"event incident vorfall ereignis evenement happen incidence adverse",
	"report",
	"interface patientinterface",
	"flow debit",
	"continuous",
	"pip ppeak peak pinsp pmax",
	"peep eep pep endexpiratory",
	"ps psupport",
	"support",
	"inspiratory insp inspiration",
	"ti tinsp",
	"trigger sensitivity sens",
	"nitric ino nox",
	"map pmean paw mawp mpaw",
	"mean avg average mittel",
	"airway",
	"amplitude deltap ampl delta",
	"hz frequency frequenz",
	"set setting settings",
	"quantity parameter param measurement label channel item name",
	"value messwert reading wert valeur waarde val",
	"units einheit unite eenheid uom",
	"vte vtexp vti vt expired exhaled tidal",
	"volume vol",
	"minute",
	"mv mve mvexp mvi",
	"leak leakage leck fuite lek",
	"etco2 endtidal co2 petco2 capno",
	"nibp abp bp ibp blutdruck nbp pni",
	"blood",
	"battery batt akku bat soc batterie batteria bateria accu",
	"charge charged laadtoestand ladezustand remaining",
	"supply inlet source feed running fed",
	"start onset begin beginning before initial begindruk begindatum anfang started full inicio inizio opening debut",
	"end cleared clear ended after final einddruk ende fin stop stopped finish resolved",
	"silenced silence muted ack acknowledged paused audio",
	"alarm alarms alert message condition alm alarma allarme",
	"severity level",
	"limit threshold grenzwert setpoint",
	"observed actual measured triggering",
	"cylinder cyl tank bottle flasche fles bouteille bombola bombona botella tanks",
	"gas gases gaz",
	"size inhoud flesinhoud groesse taille capacity grootte",
	"concentration conc",
	"open opened",
	"close closed dicht shut",
	"mass",
	"screen display dim dimmed brightness backlight night",
	"harm injury schaden harmed injured damage consequence",
	"preventable avoidable vermeidbar prevented prevent avoided",
	"narrative summary description happened details story comment comments freetext tell tells free describe",
	"in_service commissioned inbetriebnahme installed acquired deployed use introduced",
	"retired disposed decommissioned ausgemustert withdrawn until scrapped gone",
	"purchase acquisition bought anschaffung",
	"cost price kosten cout amount paid preis costo coste prezzo precio",
	"life endurance runtime",
	"removed ausser out",
	"returned back wieder einsatzbereit return",
	"test check pruefung checks",
	"ok passed",
	"noted",
	"text wording",
	"owner responsible verantwortlich lead",
	"completed complete done",
	"measure indicator",
	"carried kit",
	"high low",
}

// concepts finds the concept of each word of the vocabulary.
var concepts = index(vocabulary)

// small words say little by themselves: they count a tenth in the likeness of two names.
var small = []string{"date", "time", "of", "the", "and", "in", "on", "a", "is", "was", "per", "by", "beim", "der", "des", "du", "de", "la", "le", "complete", "completed", "set", "value", "decision", "used", "was", "for", "group", "what", "it", "did", "was", "were", "you", "we", "please", "us", "could", "have", "been", "which", "an", "our", "this", "at", "again", "first", "no_", "del", "di", "le", "van", "het", "le", "el", "en", "sort"}

func index(lines []string) map[string]string {
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
		for _, concept := range conceptsOf(word) {
			if !slices.Contains(all, concept) {
				all = append(all, concept)
			}
		}
	}
	return all
}

// conceptsOf finds the concepts of a word: its own, that of its stem, or those of the words that it is made of (Abfahrtszeit).
func conceptsOf(word string) []string {
	if concept, ok := concepts[word]; ok {
		return []string{concept}
	}
	for _, ending := range endings {
		for _, restored := range []string{"", "e"} {
			stem, cut := strings.CutSuffix(word, ending)
			if concept, ok := concepts[stem+restored]; cut && ok && len(stem) > 2 {
				return []string{concept}
			}
		}
	}
	if parts := compound(word); len(parts) > 0 {
		return parts
	}
	return []string{word}
}

var endings = []string{"s", "es", "ed", "d", "ing", "ly", "en", "er", "e", "n"}

// What is looked for in a word that is made of several.
const (
	longCompound = 8
	longPart     = 4
)

// compound parts a long word into known ones, from its start and the longest first; letters between them are passed over.
func compound(word string) (parts []string) {
	if len(word) < longCompound {
		return nil
	}
	for at := 0; at+longPart <= len(word); at++ {
		for end := len(word); end >= at+longPart; end-- {
			if concept, ok := concepts[word[at:end]]; ok {
				parts = append(parts, concept)
				at = end - 1
				break
			}
		}
	}
	return parts
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
