"""Writes the exports of the folders testdata/research-*: published two-by-two tables of real transports as records.

The counts are those of the papers (named in each study.yaml); everything else of a record is made up and plain.
Run it from the project's folder: python3 testdata/recompute/make_research.py
"""
import csv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def write(folder, table, rows):
    path = ROOT / folder / "in" / f"{table}.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", newline="", encoding="utf-8") as out:
        w = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
        w.writeheader()
        w.writerows(rows)


def moment(day, minute, year=2026):
    month, day = 1 + day // 28 % 12, 1 + day % 28
    return f"{year}-{month:02d}-{day:02d} {8 + minute // 60:02d}:{minute % 60:02d}"


def night_departures():
    """24 of 119 left at night before, 38 of 381 after; the flag for a structured hand-over stands for leaving at night."""
    rows = []
    for year, n, night in ((2007, 119, 24), (2009, 381, 38)):
        for i in range(n):
            rows.append({"transport_id": f"{year}-{i + 1}", "called_at": moment(i, i % 60, year), "disposition": "completed",
                         "handover_structured": "yes" if i < night else "no"})
    write("research-night-departures", "transports", rows)


def cpap():
    """220 on CPAP: 13 intubated before transport, none under way, 28 within 24 h, 4 later, 11 for surgery, 164 never."""
    transports, settings = [], []
    plan = [("invasive", "", "")] * 13 + [("cpap", 6, "respiratory")] * 28 + [("cpap", 40, "respiratory")] * 4 \
        + [("cpap", 60, "surgery")] * 11 + [("cpap", "", "")] * 164
    for i, (support, hours, why) in enumerate(plan):
        name = f"C{i + 1}"
        transports.append({"transport_id": name, "accepted_at": moment(i, 0), "at_patient_at": moment(i, 60),
                           "handed_over_at": moment(i, 180), "intubated_after_handover": hours, "intubated_after_for": why})
        mode, interface = ("simv", "tube") if support == "invasive" else ("cpap", "nasal")
        settings.append({"transport_id": name, "recorded_at": moment(i, 60), "mode": mode, "interface": interface})
    write("research-cpap", "transports", transports)
    write("research-cpap", "settings", settings)


def ventilated():
    """256 ventilated infants, 32 with pCO2 under 4 kPa on arrival, 5 of them under 3 kPa."""
    transports, settings, assessments = [], [], []
    for i in range(256):
        name = f"V{i + 1}"
        pressure = 2.8 if i < 5 else 3.6 if i < 32 else 5.2
        transports.append({"transport_id": name, "vehicle": "ground", "accepted_at": moment(i, 0), "at_patient_at": moment(i, 60),
                           "handed_over_at": moment(i, 180)})
        settings.append({"transport_id": name, "recorded_at": moment(i, 60), "mode": "simv", "interface": "tube"})
        assessments.append({"transport_id": name, "stage": "receiving_arrival", "recorded_at": moment(i, 175), "pco2 (kPa)": pressure})
    write("research-ventilated", "transports", transports)
    write("research-ventilated", "settings", settings)
    write("research-ventilated", "assessments", assessments)


night_departures()
cpap()
ventilated()
