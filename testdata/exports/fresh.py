"""Exports made last, after the words of draft were settled: what it makes of them is the measure of how far those words carry to
a hospital that nobody has seen. No word was added for them afterwards; README.md beside this file has the figures."""

from datetime import datetime, timedelta

from kit import Column as C, export, scaled, when
from world import alarms, assessments, changes, cylinder, dice, incidents, minutes, trips

START = datetime(2025, 7, 14, 16, 20)
PSI = 6.894757293168  # kPa, NIST SP 811


@export("fresh-county-sheet")
def county(e):
    rng = dice("fresh-county-sheet")
    form = "%m/%d/%Y %H:%M"
    e.source("t", "NICU Transport Stats*.csv", "transports", time_format=form)
    columns = [C("Transport #", "number", "transport_id"), C("Pt MR#", "patient_key", "patient_key"), C("Gender", "sex", "sex", codes={"Female": "female", "Male": "male"}), C("Birth Wt (g)", "birth_weight", "birth_weight", unit="g"), C("EGA", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7),
               C("Referring Hospital", "referring_site", "referring_site"), C("Time Call Received", when("called_at", form), "called_at"), C("Time Team Dispatched", when("accepted_at", form), "accepted_at"), C("Time Left for Ref Hosp", when("departed_base_at", form), "departed_base_at"),
               C("Time Arrived Ref Hosp", when("arrived_referring_at", form), "arrived_referring_at"), C("Time Left Ref Hosp", when("departed_referring_at", form), "departed_referring_at"), C("Time Arrived Our NICU", when("arrived_receiving_at", form), "arrived_receiving_at"),
               C("Mode", "vehicle", "vehicle", codes={"Amb": "ground", "Helo": "rotor", "Plane": "fixed_wing"}), C("Delay reason", lambda t: "", "delay_reason"), C("Attempts to intubate", "intubation_attempts", "intubation_attempts"), C("Data entry by", lambda t: "cs")]
    e.learn("t", columns)
    e.file("NICU Transport Stats 2025.csv", columns, trips(rng, 61, start=datetime(2025, 6, 20)))


@export("fresh-italian-service")
def italian(e):
    rng = dice("fresh-italian-service")
    form = "%d/%m/%Y %H:%M"
    e.source("t", "STEN*.csv", "transports", time_format=form, decimal="comma")
    columns = [C("Codice trasporto", "number", "transport_id"), C("Ora chiamata", when("called_at", form), "called_at"), C("Partenza base", when("departed_base_at", form), "departed_base_at"), C("Arrivo punto nascita", when("arrived_referring_at", form), "arrived_referring_at"),
               C("Partenza punto nascita", when("departed_referring_at", form), "departed_referring_at"), C("Arrivo TIN", when("arrived_receiving_at", form), "arrived_receiving_at"), C("Rientro operativo", when("available_at", form), "available_at"),
               C("Età gestazionale", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7), C("Peso nascita (kg)", scaled("birth_weight", 0.001, 3), "birth_weight", unit="kg"), C("Sesso", "sex", "sex", codes={"F": "female", "M": "male"}), C("Ipotermia terapeutica", "cooling", "cooling", codes={"SI": "true", "NO": "false"})]
    e.learn("t", columns)
    e.file("STEN luglio.csv", columns, trips(rng, 37, start=datetime(2025, 7, 1)), delimiter=";", comma=True, encoding="utf-8-sig")


@export("fresh-dutch-trip-log")
def dutch(e):
    rng = dice("fresh-dutch-trip-log")
    form = "%d-%m-%Y %H:%M"
    e.source("t", "ritten*.csv", "transports", time_format=form)
    columns = [C("Ritnr", "number", "transport_id"), C("Aanvraag", when("called_at", form), "called_at"), C("Vertrek standplaats", when("departed_base_at", form), "departed_base_at"), C("Aankomst verwijzend ziekenhuis", when("arrived_referring_at", form), "arrived_referring_at"),
               C("Vertrek verwijzend ziekenhuis", when("departed_referring_at", form), "departed_referring_at"), C("Aankomst ontvangend ziekenhuis", when("arrived_receiving_at", form), "arrived_receiving_at"), C("Overdracht", when("handed_over_at", form), "handed_over_at"),
               C("Gewicht (g)", "weight", "weight", unit="g"), C("Zwangerschapsduur", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7), C("Geslacht", "sex", "sex", codes={"jongen": "male", "meisje": "female"}), C("Chauffeur", "crew")]
    e.learn("t", columns)
    e.file("ritten 2025.csv", columns, trips(rng, 42, start=datetime(2025, 6, 3)), delimiter=";")


@export("fresh-respirator-log")
def respirator(e):
    rng = dice("fresh-respirator-log")
    form = "%H:%M:%S %d.%m.%Y"
    e.source("r", "VentData*.csv", "readings", time_format="%d.%m.%Y %H:%M:%S")
    columns = [C("Day", when("recorded_at", "%d.%m.%Y"), "recorded_at"), C("Clock", when("recorded_at", "%H:%M:%S"), "recorded_at"), C("Ser.No.", "device_id", "device_id"), C("Ppeak [mbar]", scaled("pip", 0.980665, 1), quantity="pip", unit="mbar"), C("PEEP [mbar]", scaled("peep", 0.980665, 1), quantity="peep", unit="mbar"),
               C("f [1/min]", "rate", quantity="rate", unit="1/min"), C("VT exp [ml]", "expired_tidal_volume", quantity="expired_tidal_volume", unit="ml"), C("MV exp [l/min]", "minute_volume", quantity="minute_volume", unit="l/min"), C("O2 conc [%]", "fio2", quantity="fio2", unit="%"), C("Leakage [%]", "leak", quantity="leak", unit="%"), C("Resistance", lambda r: 40)]
    e.learn("r", columns)
    e.file("VentData_0714.csv", columns, minutes(rng, 70, START, device="V9"), delimiter=";")


@export("fresh-setting-changes")
def setting_changes(e):
    rng = dice("fresh-setting-changes")
    form = "%b %d, %Y %I:%M %p"
    modes = {"PC-SIMV": "simv", "PC-AC": "assist_control", "PSV": "pressure_support", "nCPAP": "cpap", "NIPPV": "nippv", "HFNC": "high_flow", "Standby": "standby", "HFOV": "hfov"}
    e.source("s", "RT flowsheet*.csv", "settings", time_format=form)
    columns = [C("Documented", when("recorded_at", form), "recorded_at"), C("Vent ID", "device_id", "device_id"), C("Vent mode", "mode", "mode", codes=modes), C("Airway", "interface", "interface", codes={"ETT": "tube", "Nasal prongs": "nasal", "None": "none"}), C("PIP set", "pip", "pip"), C("PEEP set", "peep", "peep"), C("RR set", "rate", "rate"),
               C("I-time", "inspiratory_time", "inspiratory_time"), C("Liter flow", "flow", "flow"), C("FiO2", "fio2", "fio2"), C("iNO", "nitric_oxide", "nitric_oxide"), C("RT initials", lambda r: "aa")]
    e.learn("s", columns)
    e.file("RT flowsheet July.csv", columns, changes(rng, 66, START))


@export("fresh-alarm-journal")
def journal(e):
    rng = dice("fresh-alarm-journal")
    form = "%d/%m/%Y %H:%M:%S"
    words = {"Airway pressure high": "pip_high", "Tidal volume low": "expired_tidal_volume_low", "Apnoea": "apnea", "Patient disconnected": "disconnection", "Mains failure": "power_loss", "O2 supply low": "gas_supply_low", "SpO2 low": "spo2_low", "PEEP low": "peep_low"}
    e.source("a", "Alarm journal*.csv", "alarms", time_format=form)
    columns = [C("Occurred", when("started_at", form), "started_at"), C("Acknowledged", when("silenced_at", form), "silenced_at"), C("Resolved", when("ended_at", form), "ended_at"), C("Device no", "device_id", "device_id"), C("Alarm description", "condition", "condition", codes=words), C("Class", "priority", "priority", codes={"High": "high", "Medium": "medium", "Low": "low"}), C("Log line", lambda r: rng.randint(1, 99999))]
    e.learn("a", columns)
    e.file("Alarm journal.csv", columns, alarms(rng, 90, START, list(words.values()), device="V5"))


@export("fresh-tank-sheet")
def tank_sheet(e):
    rng = dice("fresh-tank-sheet")
    rows = [cylinder(rng, t, gas, size, 2200) for t in trips(rng, 38, start=datetime(2025, 6, 9)) for gas, size in [("oxygen", "M"), ("air", "E")]]
    e.source("c", "tanks*.csv", "cylinders")
    columns = [C("Mission", "number", "transport_id"), C("Tank contents", "gas", "gas", codes={"Oxygen": "oxygen", "Compressed air": "air"}), C("Cylinder letter", "size", "size"), C("Mounted", "supply", "supply", codes={"Portable": "carried", "Onboard": "vehicle"}), C("psi departing", "start", "start_pressure", unit="psi", real=lambda r: r["start"] * PSI),
               C("psi returning", "end", "end_pressure", unit="psi", real=lambda r: r["end"] * PSI), C("Changed by", lambda r: "EMT")]
    e.learn("c", columns)
    e.file("tanks Q3.csv", columns, rows)


@export("fresh-battery-report")
def battery(e):
    rng = dice("fresh-battery-report")
    form = "%Y/%m/%d %H:%M"
    rows = [dict(device_id=f"VN-0{1 + i % 3}", recorded_at=START + timedelta(minutes=9 * i + i % 4), source=rng.choice(["external", "battery", "off"]), charge=rng.randint(18, 100)) for i in range(72)]
    e.source("p", "power history*.csv", "power", time_format=form)
    columns = [C("Time stamp", when("recorded_at", form), "recorded_at"), C("Device ID", "device_id", "device_id"), C("Power source", "source", "source", codes={"External DC": "external", "Int. battery": "battery", "Off": "off"}), C("Battery level (%)", "charge", "charge", unit="%"), C("Volts", lambda r: 12.4)]
    e.learn("p", columns)
    e.file("power history.csv", columns, rows)


@export("fresh-safety-export")
def safety(e):
    rng = dice("fresh-safety-export")
    form = "%m/%d/%Y %I:%M %p"
    kinds = {"Airway - unplanned extubation": "unplanned_extubation", "Vascular access lost": "line_dislodgement", "Desaturation": "desaturation", "Medication": "medication_error", "Equipment": "equipment_failure", "Hypotension": "hypotension", "Other": "other"}
    e.source("e", "safety events*.csv", "events", time_format=form)
    columns = [C("Event No", "event_id", "event_id"), C("Transport No", "number", "transport_id"), C("Event Date/Time", when("recorded_at", form), "recorded_at"), C("Event Category", "kind", "kind", codes=kinds), C("Harm level", "harm", "harm", codes={"A - none": "none", "B - mild": "mild", "C - moderate": "moderate", "D - severe": "severe"}), C("Preventable?", "preventable", "preventable", codes={"Yes": "true", "No": "false"}),
               C("Device", "device_id", "device_id"), C("Brief description", "narrative", "narrative"), C("Follow-up owner", lambda r: "QI")]
    e.learn("e", columns)
    e.file("safety events FY25.csv", columns, incidents(rng, trips(rng, 28, start=datetime(2025, 6, 1))))


@export("fresh-bedside-checks")
def bedside_checks(e):
    rng = dice("fresh-bedside-checks")
    form = "%Y-%m-%d %H:%M"
    stages = {"On arrival at referring": "referring_arrival", "Before departure": "referring_departure", "On admission": "receiving_arrival"}
    e.source("a", "clinical*.csv", "assessments", time_format=form)
    columns = [C("Case no", "number", "transport_id"), C("Time point", "stage", "stage", codes=stages), C("Observation time", when("recorded_at", form), "recorded_at"), C("Temp (°C)", "temperature", "temperature", unit="°C"), C("Heart rate", "heart_rate", "heart_rate"), C("Resp rate", "respiratory_rate", "respiratory_rate"), C("Saturation", "spo2", "spo2"),
               C("Inspired O2", "fio2", "fio2"), C("Systolic BP", "systolic_pressure", "systolic_pressure"), C("pH", "ph", "ph"), C("PaCO2 (kPa)", scaled("pco2", 0.133322, 2), "pco2", unit="kPa"), C("Blood sugar (mmol/L)", scaled("glucose", 1 / 18.016, 1), "glucose", unit="mmol/L"), C("Completed by", "crew")]
    e.learn("a", columns)
    e.file("clinical 2025.csv", columns, assessments(rng, trips(rng, 35, start=datetime(2025, 6, 5))))


@export("fresh-workshop-jobs")
def workshop(e):
    rng = dice("fresh-workshop-jobs")
    form = "%m/%d/%Y %H:%M"
    reasons = {"Corrective": "failure", "PM": "preventive", "Recall": "recall", "Other": "other"}
    rows = [dict(device_id=f"V{1 + i % 5}", out=START + timedelta(days=6 * i), back=START + timedelta(days=6 * i + rng.randint(1, 5)), reason=rng.choice(list(reasons.values())), cost=rng.randint(50, 2500)) for i in range(24)]
    e.source("s", "work orders*.csv", "service", time_format=form)
    columns = [C("WO", lambda r: 7000 + r["out"].day * 31), C("Asset ID", "device_id", "device_id"), C("Work type", "reason", "reason", codes=reasons), C("Out of service", when("out", form), "removed_at", real=lambda r: r["out"]), C("Returned to service", when("back", form), "returned_at", real=lambda r: r["back"]), C("Total cost ($)", "cost", "cost"), C("Tech", lambda r: "bm")]
    e.learn("s", columns)
    e.file("work orders 2025.csv", columns, rows)
