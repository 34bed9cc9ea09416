"""Exports of dispatch programs and of the sheets that teams keep instead."""

from datetime import datetime

from kit import Column as C, export, scaled, when
from world import assessment, dice, trips

US12 = "%m/%d/%Y %I:%M %p"


@export("dispatch-us")
def dispatch_us(e):
    rng = dice("dispatch-us")
    kind = {"GRD": "ground", "HELI": "rotor", "FW": "fixed_wing"}
    e.source("t", "Transport Log *.csv", "transports", time_format=US12)
    columns = [C("Run #", "number", "transport_id"), C("Type", "vehicle", "vehicle", codes=kind),
               C("Priority", "urgency", "urgency", codes={"STAT": "immediate", "Urgent": "urgent", "Scheduled": "planned"}),
               C("Referring Facility", "referring_site", "referring_site"), C("Receiving Facility", "receiving_site", "receiving_site"),
               C("Call Rec'd", when("called_at", US12), "called_at"), C("Team Activated", when("accepted_at", US12), "accepted_at"),
               C("Wheels rolling", when("departed_base_at", US12), "departed_base_at"), C("Arrive Ref", when("arrived_referring_at", US12), "arrived_referring_at"),
               C("At bedside", when("at_patient_at", US12), "at_patient_at"), C("Depart Ref", when("departed_referring_at", US12), "departed_referring_at"),
               C("Arrive Rec", when("arrived_receiving_at", US12), "arrived_receiving_at"), C("Handoff", when("handed_over_at", US12), "handed_over_at"),
               C("In Service", when("available_at", US12), "available_at"), C("MRN", "patient_key", "patient_key"),
               C("GA", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7), C("BW (lb)", scaled("birth_weight", 1 / 453.59237, 2), "birth_weight", unit="lb"),
               C("Sex", "sex", "sex", codes={"F": "female", "M": "male"}), C("Vent", "ventilator_id", "ventilator_id"), C("Loaded miles", "miles"), C("Crew", "crew")]
    e.learn("t", columns)
    e.file("Transport Log 2025.csv", columns, trips(rng, 70))


@export("dispatch-de")
def dispatch_de(e):
    rng = dice("dispatch-de")
    form = "%d.%m.%Y %H:%M"
    e.source("t", "Einsatzliste_*.csv", "transports", time_format=form, decimal="comma")
    columns = [C("Einsatznr.", "number", "transport_id"), C("Fahrzeug", "vehicle", "vehicle", codes={"NEF": "ground", "RTH": "rotor", "Ambulanzjet": "fixed_wing"}),
               C("Anforderung", when("called_at", form), "called_at"), C("Alarmierung", when("accepted_at", form), "accepted_at"),
               C("Abfahrt Standort", when("departed_base_at", form), "departed_base_at"), C("Ankunft Quellklinik", when("arrived_referring_at", form), "arrived_referring_at"),
               C("Beim Patienten", when("at_patient_at", form), "at_patient_at"), C("Abfahrt Quellklinik", when("departed_referring_at", form), "departed_referring_at"),
               C("Ankunft Zielklinik", when("arrived_receiving_at", form), "arrived_receiving_at"), C("Übergabe", when("handed_over_at", form), "handed_over_at"),
               C("Frei", when("available_at", form), "available_at"), C("Geburtsgewicht (kg)", scaled("birth_weight", 0.001, 3), "birth_weight", unit="kg"),
               C("Schwangerschaftswoche", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7), C("Geschlecht", "sex", "sex", codes={"w": "female", "m": "male"}),
               C("Kilometer", lambda t: f"{t.miles * 1.609:.1f}")]
    e.learn("t", columns)
    e.file("Einsatzliste_Mai.csv", columns, trips(rng, 55), delimiter=";", comma=True, encoding="cp1252")


@export("dispatch-date-and-clock")
def dispatch_clock(e):
    rng = dice("dispatch-date-and-clock")
    date, clock = "%d/%m/%Y", "%H:%M"
    e.source("t", "retrievals-*.csv", "transports", time_format=date + " " + clock)
    columns = [C("Ref", "number", "transport_id"), C("Date", when("called_at", date)),
               C("Time of call", when("called_at", clock), "called_at", beside="Date"), C("Mobile", when("departed_base_at", clock), "departed_base_at", beside="Date"),
               C("Arr DGH", when("arrived_referring_at", clock), "arrived_referring_at", beside="Date"), C("Dep DGH", when("departed_referring_at", clock), "departed_referring_at", beside="Date"),
               C("Arr NICU", when("arrived_receiving_at", clock), "arrived_receiving_at", beside="Date"), C("Handover complete", when("handed_over_at", clock), "handed_over_at", beside="Date"),
               C("From", "referring_site", "referring_site"), C("To", "receiving_site", "receiving_site"), C("Gestation", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7),
               C("Weight", "weight", "weight"), C("Cooled?", "cooling", "cooling", codes={"Y": "true", "N": "false"}), C("Consultant", "crew")]
    e.learn("t", columns)
    e.file("retrievals-q2.csv", columns, trips(rng, 60, daytime=True))


@export("dispatch-with-temperatures")
def dispatch_temperatures(e):
    rng = dice("dispatch-with-temperatures")
    form = "%Y-%m-%d %H:%M"
    e.source("t", "transport sheet*.csv", "transports", time_format=form)
    for key, stage in [("a", "referring_arrival"), ("d", "referring_departure"), ("r", "receiving_arrival")]:
        e.source(key, "transport sheet*.csv", "assessments", time_format=form, constants={"stage": stage})
    rows = trips(rng, 48)
    for t in rows:
        for stage in ("referring_arrival", "referring_departure", "receiving_arrival"):
            t["temp_" + stage] = assessment(rng, t, stage).temperature
            t["sat_" + stage] = assessment(rng, t, stage).spo2
    columns = [C("Transport No", "number", "transport_id", more=[("a", "transport_id"), ("d", "transport_id"), ("r", "transport_id")]),
               C("Referral time", when("called_at", form), "called_at"), C("Accepted", when("accepted_at", form), "accepted_at"), C("Left base", when("departed_base_at", form), "departed_base_at"),
               C("Patient contact", when("at_patient_at", form), "at_patient_at"), C("Left referring", when("departed_referring_at", form), "departed_referring_at"),
               C("Care transferred", when("handed_over_at", form), "handed_over_at"),
               C("Temp on arrival referring", "temp_referring_arrival", real=lambda t: t.temp_referring_arrival, more=[("a", "temperature")]), C("Temp on departure", "temp_referring_departure", real=lambda t: t.temp_referring_departure, more=[("d", "temperature")]),
               C("Temp on arrival receiving", "temp_receiving_arrival", real=lambda t: t.temp_receiving_arrival, more=[("r", "temperature")]), C("SpO2 on arrival receiving", "sat_receiving_arrival", real=lambda t: t.sat_receiving_arrival, more=[("r", "spo2")]),
               C("Diagnosis group", "diagnosis", "diagnosis", codes={"Resp": "respiratory", "Prem": "prematurity", "Cardiac": "cardiac", "Surgical": "surgical",
                                                                       "Neuro": "neurological", "Sepsis": "infection", "Metabolic": "metabolic", "Other": "other"})]
    e.learn("t", columns)
    e.file("transport sheet spring.csv", columns, rows)


@export("dispatch-offsets")
def dispatch_offsets(e):
    rng = dice("dispatch-offsets")
    iso = lambda key: lambda t: "" if t[key] is None else t[key].strftime("%Y-%m-%dT%H:%M:%S-05:00")
    e.source("t", "missions_export_*.csv", "transports")
    columns = [C("mission_id", "number", "transport_id"), C("base", lambda t: "North", "team"), C("asset_type", "vehicle", "vehicle", codes={"AMBULANCE": "ground", "HELICOPTER": "rotor", "AIRPLANE": "fixed_wing"}),
               C("request_ts", iso("called_at"), "called_at"), C("tasked_ts", iso("accepted_at"), "accepted_at"), C("enroute_ts", iso("departed_base_at"), "departed_base_at"),
               C("on_scene_ts", iso("arrived_referring_at"), "arrived_referring_at"), C("pt_contact_ts", iso("at_patient_at"), "at_patient_at"), C("depart_scene_ts", iso("departed_referring_at"), "departed_referring_at"),
               C("at_destination_ts", iso("arrived_receiving_at"), "arrived_receiving_at"), C("transfer_of_care_ts", iso("handed_over_at"), "handed_over_at"), C("available_ts", iso("available_at"), "available_at"),
               C("outcome", "disposition", "disposition", codes={"COMPLETE": "completed", "CANCELED": "cancelled"}), C("origin", "referring_site", "referring_site"), C("destination", "receiving_site", "receiving_site"),
               C("patient_weight_kg", scaled("weight", 0.001, 2), "weight", unit="kg"), C("est_minutes", "planned_duration", "planned_duration"), C("export_version", lambda t: "4")]
    e.learn("t", columns)
    e.file("missions_export_202505.csv", columns, trips(rng, 80), newline="\n")


@export("dispatch-serial-days")
def dispatch_serial(e):
    rng = dice("dispatch-serial-days")
    day = lambda key: lambda t: f"{(t[key] - datetime(1899, 12, 30)).total_seconds() / 86400:.6f}"
    e.source("t", "Flight register*.txt", "transports", time_format="excel")
    columns = [C("Case", "number", "transport_id"), C("Phone call", day("called_at"), "called_at"), C("Go decision", day("accepted_at"), "accepted_at"), C("Off chocks", day("departed_base_at"), "departed_base_at"),
               C("Arrived patient", day("at_patient_at"), "at_patient_at"), C("Departed hospital", day("departed_referring_at"), "departed_referring_at"), C("Arrived destination", day("arrived_receiving_at"), "arrived_receiving_at"),
               C("Sex", "sex", "sex", codes={"Girl": "female", "Boy": "male"}), C("Birth wt g", "birth_weight", "birth_weight", unit="g"), C("Age days", "age", "age_at_call", real=lambda t: t.age, unit="d"),
               C("Died during transport", lambda t: "0", "died_in_transit", codes={"1": "true", "0": "false"}), C("Notes", lambda t: t.crew + " on")]
    e.learn("t", columns)
    e.file("Flight register 2025.txt", columns, trips(rng, 40), delimiter="\t")


@export("dispatch-undecided-dates")
def dispatch_undecided(e):
    rng = dice("dispatch-undecided-dates")
    form = "%d/%m/%Y %H:%M"
    e.source("t", "calls_*.csv", "transports", time_format=form)
    rows = [t for t in trips(rng, 60, start=datetime(2025, 4, 1), days=12) if t.available_at.day <= 12]
    columns = [C("Call no.", "number", "transport_id"), C("Call taken", when("called_at", form), "called_at"), C("Accepted for transfer", when("accepted_at", form), "accepted_at"),
               C("Set off", when("departed_base_at", form), "departed_base_at"), C("With patient", when("at_patient_at", form), "at_patient_at"), C("Handed over", when("handed_over_at", form), "handed_over_at"),
               C("Vehicle", "vehicle", "vehicle", codes={"Road": "ground", "Helicopter": "rotor", "Aeroplane": "fixed_wing"}), C("Hospital", "referring_site", "referring_site")]
    e.learn("t", columns)
    e.file("calls_april.csv", columns, rows)


@export("dispatch-fr")
def dispatch_fr(e):
    rng = dice("dispatch-fr")
    form = "%d/%m/%Y %Hh%M"
    e.source("t", "Transferts-*.csv", "transports", time_format=form, decimal="comma")
    columns = [C("N° dossier", "number", "transport_id"), C("Appel", when("called_at", form), "called_at"), C("Départ base", when("departed_base_at", form), "departed_base_at"),
               C("Arrivée maternité", when("arrived_referring_at", form), "arrived_referring_at"), C("Départ maternité", when("departed_referring_at", form), "departed_referring_at"),
               C("Arrivée CHU", when("arrived_receiving_at", form), "arrived_receiving_at"), C("Poids (g)", "weight", "weight", unit="g"), C("Terme (SA)", lambda t: f"{t.weeks}+{t.days}", "gestation", real=lambda t: t.weeks + t.days / 7),
               C("Sexe", "sex", "sex", codes={"F": "female", "M": "male"}), C("Vecteur", "vehicle", "vehicle", codes={"Route": "ground", "Hélico": "rotor", "Avion": "fixed_wing"})]
    e.learn("t", columns)
    e.file("Transferts-2025.csv", columns, trips(rng, 52), delimiter=";", comma=True, encoding="cp1252")


@export("dispatch-pounds-and-ounces")
def dispatch_ounces(e):
    rng = dice("dispatch-pounds-and-ounces")
    form = "%m/%d/%y %H:%M"
    ounces = lambda t: round(t.birth_weight / 28.349523125)
    pounds = lambda t: f"{ounces(t) // 16} lb {ounces(t) % 16} oz"
    e.source("t", "Neo runs*.csv", "transports", time_format=form)
    columns = [C("Transport ID", "number", "transport_id"), C("Mode of transport", "vehicle", "vehicle", codes={"Ground": "ground", "Rotor": "rotor", "Fixed wing": "fixed_wing"}),
               C("Request Date/Time", when("called_at", form), "called_at"), C("Dispatch Date/Time", when("accepted_at", form), "accepted_at"), C("Enroute Date/Time", when("departed_base_at", form), "departed_base_at"),
               C("At Patient Date/Time", when("at_patient_at", form), "at_patient_at"), C("Leave Ref Date/Time", when("departed_referring_at", form), "departed_referring_at"), C("Arrive Rec Date/Time", when("arrived_receiving_at", form), "arrived_receiving_at"),
               C("Birth weight", pounds, "birth_weight"), C("Gest age", lambda t: f"{t.weeks}w{t.days}d", "gestation", real=lambda t: t.weeks + t.days / 7), C("DOL", "age", "age_at_call", real=lambda t: t.age),
               C("ETT confirmed", "tube_confirmed", "tube_confirmed", codes={"Yes": "true", "No": "false"}), C("# Intub attempts", "intubation_attempts", "intubation_attempts"),
               C("SBAR used", "handover_structured", "handover_structured", codes={"Yes": "true", "No": "false"}), C("O2 needed (L)", "planned_oxygen", "planned_oxygen", unit="L"), C("Air needed (L)", "planned_air", "planned_air", unit="L")]
    e.learn("t", columns)
    e.file("Neo runs May-June.csv", columns, trips(rng, 64))
