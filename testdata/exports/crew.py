"""What crews fill in: cylinder sheets, bedside assessments, event reports, kit lists, and what the team agreed."""

from datetime import datetime, timedelta

from kit import Column as C, export, scaled, when
from world import assessments, cylinder, dice, incidents, minutes, trips

PSI = 6.894757293168  # kPa, NIST SP 811


@export("cylinders-psi")
def cylinders_psi(e):
    rng = dice("cylinders-psi")
    rows = [cylinder(rng, t, gas, size, 2100) for t in trips(rng, 40) for gas, size in [("oxygen", "E"), ("air", "D")]]
    e.source("c", "O2 Air tank log*.csv", "cylinders")
    columns = [C("Run", "number", "transport_id"), C("Tank ID", "cylinder_id", "cylinder_id"), C("Gas", "gas", "gas", codes={"O2": "oxygen", "Air": "air"}), C("Tank size", "size", "size"),
               C("Start PSI", "start", "start_pressure", unit="psi", real=lambda r: r["start"] * PSI), C("End PSI", "end", "end_pressure", unit="psi", real=lambda r: r["end"] * PSI), C("RT", lambda r: "mp")]
    e.learn("c", columns)
    e.file("O2 Air tank log.csv", columns, rows)


@export("cylinders-bar")
def cylinders_bar(e):
    rng = dice("cylinders-bar")
    form = "%d/%m/%Y %H:%M"
    rows = [cylinder(rng, t, gas, size, 200) for t in trips(rng, 36) for gas, size in [("oxygen", "10 L"), ("air", "5 L")]]
    e.source("c", "gasverbruik*.csv", "cylinders", time_format=form, decimal="comma")
    columns = [C("Ritnummer", "number", "transport_id"), C("Gas", "gas", "gas", codes={"Zuurstof": "oxygen", "Lucht": "air"}), C("Flesinhoud", "size", "size"),
               C("Open", when("opened_at", form), "opened_at"), C("Dicht", when("closed_at", form), "closed_at"), C("Begindruk (bar)", "start", "start_pressure", unit="bar", real=lambda r: r["start"] * 100), C("Einddruk (bar)", "end", "end_pressure", unit="bar", real=lambda r: r["end"] * 100)]
    e.learn("c", columns)
    e.file("gasverbruik.csv", columns, rows, delimiter=";", comma=True)


@export("cylinders-two-gases")
def cylinders_two(e):
    rng = dice("cylinders-two-gases")
    rows = []
    for t in trips(rng, 45):
        o, a = cylinder(rng, t, "oxygen", "E", 2200), cylinder(rng, t, "air", "E", 2200)
        rows.append(dict(number=t.number, o_start=o.start, o_end=o.end, a_start=a.start, a_end=a.end))
    for key, gas in [("o", "oxygen"), ("a", "air")]:
        e.source(key, "gas sheet*.csv", "cylinders", constants={"gas": gas})
    columns = [C("Transport", "number", more=[("o", "transport_id"), ("a", "transport_id")]), C("O2 start (psi)", "o_start", unit="psi", real=lambda r: r["o_start"] * PSI, more=[("o", "start_pressure")]), C("O2 end (psi)", "o_end", unit="psi", real=lambda r: r["o_end"] * PSI, more=[("o", "end_pressure")]),
               C("Air start (psi)", "a_start", unit="psi", real=lambda r: r["a_start"] * PSI, more=[("a", "start_pressure")]), C("Air end (psi)", "a_end", unit="psi", real=lambda r: r["a_end"] * PSI, more=[("a", "end_pressure")]), C("Checked", lambda r: "yes")]
    e.learn("o", columns)
    e.file("gas sheet.csv", columns, rows)


@export("cylinders-preamble-footer")
def cylinders_footer(e):
    rng = dice("cylinders-preamble-footer")
    rows = [cylinder(rng, t, "oxygen", size, 15000) for t in trips(rng, 30) for size in ["2L"]]
    e.source("c", "Cylinder usage*.csv", "cylinders", constants={"gas": "oxygen"})
    columns = [C("Job number", "number", "transport_id"), C("Cyl. size", "size", "size"), C("Supply", "supply", "supply", codes={"Portable": "carried", "Vehicle": "vehicle"}), C("Pressure before (kPa)", "start", "start_pressure", unit="kPa", real=lambda r: r["start"]), C("Pressure after (kPa)", "end", "end_pressure", unit="kPa", real=lambda r: r["end"])]
    e.learn("c", columns)
    e.file("Cylinder usage.csv", columns, rows, before=["Northern Retrieval Service (invented)", "Cylinder usage report,,,,", "Printed 02/06/2025 09:14", ""], after=["Total records: 30"])


@export("assessments-long")
def assessments_long(e):
    rng = dice("assessments-long")
    stages = {"Ref arrival": "referring_arrival", "Ref departure": "referring_departure", "Rec arrival": "receiving_arrival"}
    form = "%m/%d/%Y %H:%M"
    e.source("a", "Crew assessments*.csv", "assessments", time_format=form)
    columns = [C("Trip #", "number", "transport_id"), C("Assessment point", "stage", "stage", codes=stages), C("Charted", when("recorded_at", form), "recorded_at"), C("Temp F", scaled("temperature", 1.8, 1, 32), "temperature", unit="F"),
               C("Resp rate", "respiratory_rate", "respiratory_rate"), C("HR", "heart_rate", "heart_rate"), C("Sats", "spo2", "spo2"), C("FiO2", scaled("fio2", 0.01, 2), "fio2"), C("SBP", "systolic_pressure", "systolic_pressure"),
               C("Work of breathing", "respiratory_status", "respiratory_status", codes={"Normal": "none", "Moderate": "moderate", "Severe": "severe"}), C("Responsiveness", "response", "response", codes={"Vigorous": "vigorous", "Lethargic": "lethargic", "Unresponsive": "none"}), C("RN", "crew")]
    e.learn("a", columns)
    e.file("Crew assessments.csv", columns, assessments(rng, trips(rng, 40)))


@export("assessments-blood-gas")
def blood_gas(e):
    rng = dice("assessments-blood-gas")
    form = "%d.%m.%y %H:%M"
    stages = {"Übernahme": "referring_arrival", "Abfahrt": "referring_departure", "Ankunft": "receiving_arrival"}
    e.source("a", "BGA*.csv", "assessments", time_format=form, decimal="comma")
    columns = [C("Einsatz", "number", "transport_id"), C("Zeitpunkt", "stage", "stage", codes=stages), C("Abnahme", when("recorded_at", form), "recorded_at"), C("pH", "ph", "ph"), C("pCO2 kPa", scaled("pco2", 0.133322, 2), "pco2", unit="kPa"),
               C("pO2 kPa", scaled("po2", 0.133322, 2), "po2", unit="kPa"), C("Glucose mmol/l", scaled("glucose", 1 / 18.016, 1), "glucose", unit="mmol/l"), C("Temperatur °C", "temperature", "temperature", unit="°C"), C("Laktat", lambda r: f"{rng.uniform(1, 6):.1f}")]
    e.learn("a", columns)
    e.file("BGA Mai.csv", columns, assessments(rng, trips(rng, 30)), delimiter=";", comma=True, encoding="cp1252")


@export("event-reports")
def events(e):
    rng = dice("event-reports")
    date, clock = "%m/%d/%Y", "%H:%M"
    kinds = {"Accidental extubation": "unplanned_extubation", "IV/line dislodged": "line_dislodgement", "Desaturation": "desaturation", "Medication": "medication_error", "Equipment malfunction": "equipment_failure", "Hypotension": "hypotension", "Other": "other"}
    e.source("e", "Incident reports*.csv", "events", time_format=date + " " + clock)
    columns = [C("Report #", "event_id", "event_id"), C("Transport #", "number", "transport_id"), C("Date of event", when("recorded_at", date), "recorded_at"), C("Time of event", when("recorded_at", clock), "recorded_at"), C("Category", "kind", "kind", codes=kinds),
               C("Level of harm", "harm", "harm", codes={"No harm": "none", "Minor": "mild", "Moderate": "moderate", "Major": "severe", "Death": "death"}), C("Avoidable", "preventable", "preventable", codes={"Y": "true", "N": "false"}), C("What happened", "narrative", "narrative"), C("Reviewer", lambda r: "QA")]
    e.learn("e", columns)
    e.file("Incident reports.csv", columns, incidents(rng, trips(rng, 30)))


@export("event-register")
def event_register(e):
    rng = dice("event-register")
    form = "%Y-%m-%d %H:%M"
    kinds = {"EXTUB": "unplanned_extubation", "LINE": "line_dislodgement", "DESAT": "desaturation", "MED ERR": "medication_error", "EQUIP": "equipment_failure", "HYPOT": "hypotension", "OTHER": "other"}
    e.source("e", "safety_register*.csv", "events", time_format=form)
    columns = [C("Incident ref", "event_id", "event_id"), C("Retrieval ID", "number", "transport_id"), C("Occurred", when("recorded_at", form), "recorded_at"), C("Code", "kind", "kind", codes=kinds), C("Outcome for patient", "harm", "harm", codes={"None": "none", "Low": "mild", "Medium": "moderate", "High": "severe"}), C("Equipment ID", "device_id", "device_id"), C("Summary", "narrative", "narrative")]
    e.learn("e", columns)
    e.file("safety_register.csv", columns, incidents(rng, trips(rng, 34)), delimiter=";")


@export("kit-list")
def kit(e):
    rng = dice("kit-list")
    rows = [dict(number=t.number, device_id=d) for t in trips(rng, 30) for d in rng.sample(["M1", "M2", "I1", "I2", "P3", "P4"], 3)]
    e.source("c", "kit taken*.csv", "carried")
    columns = [C("Trip", "number", "transport_id"), C("Equipment taken", "device_id", "device_id")]
    e.learn("c", columns)
    e.file("kit taken.csv", columns, rows)


@export("team-decisions")
def decisions(e):
    rng = dice("team-decisions")
    rows = [dict(on=datetime(2024, 1, 8) + timedelta(days=19 * i), kind=rng.choice(["change", "action"]), text=rng.choice(["second oxygen set carried", "new tape for tubes", "alarm limits reset at hand-over", "checklist before loading"]),
                 owner=rng.choice(["lead nurse", "biomed"]), closed=datetime(2024, 2, 8) + timedelta(days=19 * i) if i % 3 else None) for i in range(24)]
    e.source("n", "QI log*.csv", "notes", time_format="%m/%d/%Y")
    columns = [C("Date noted", when("on", "%m/%d/%Y"), "noted_on"), C("Type of entry", "kind", "kind", codes={"Practice change": "change", "Action": "action"}), C("What we agreed", "text", "text"), C("Responsible", "owner", "owner"), C("Completed", when("closed", "%m/%d/%Y"), "closed_on")]
    e.learn("n", columns)
    e.file("QI log.csv", columns, rows)


@export("monitor-zip")
def monitor_zip(e):
    rng = dice("monitor-zip")
    form = "%Y-%m-%dT%H:%M:%SZ"
    e.source("r", "monitor*.csv", "readings")
    columns = [C("time_utc", when("recorded_at", form), "recorded_at", utc=True), C("device_serial", "device_id", "device_id"), C("pulse", "heart_rate", quantity="heart_rate"), C("sat", "spo2", quantity="spo2"), C("co2_et_kpa", scaled("etco2", 0.133322, 1), quantity="etco2", unit="kPa"), C("core_temp", "temperature", quantity="temperature")]
    e.learn("r", columns)
    e.file("monitor_M4.csv", columns, minutes(rng, 90, datetime(2025, 5, 20, 11), step=30, device="M4"), newline="\n", pack="zip")
