"""An invented transport team: trips, crews' sheets and device logs, from one seed for each export.

In: the name of an export. Out: plain Python values in the units of testdata/contract/records.csv. All people, places and
hospitals are invented. Python 3 standard library only.
"""

import random
from datetime import datetime, timedelta

STAMPS = ["called_at", "accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at",
          "departed_referring_at", "arrived_receiving_at", "handed_over_at", "available_at"]
GAPS = [(2, 9), (8, 40), (25, 90), (3, 9), (35, 80), (30, 95), (4, 9), (20, 45)]
SITES = ["Oakmere General", "St Brannoc", "Harrow Vale", "Tollgate Memorial", "Nether Fold", "Pinewick"]
HOSPITALS = ["Castle Hill Children's", "Queensmead"]
PROBLEMS = ["respiratory", "prematurity", "cardiac", "surgical", "neurological", "infection", "metabolic", "other"]
STAGES = ["referring_arrival", "referring_departure", "receiving_arrival"]


class Row(dict):
    """A dict whose keys can be read as attributes."""
    __getattr__ = dict.get


def dice(name):
    return random.Random("tripwake " + name)


def trips(rng, n, start=datetime(2025, 5, 2, 6, 10), days=48, daytime=False):
    """n trips in order of their call; with daytime none of them runs past midnight."""
    out = []
    for i in range(n):
        day = start + timedelta(days=days * i // n)
        at = day.replace(hour=rng.randint(6, 13) if daytime else rng.randint(0, 23), minute=rng.randint(0, 59))
        trip = Row(number=2025000 + 7 * i + rng.randint(1, 6), called_at=at)
        for stamp, gap in zip(STAMPS[1:], GAPS):
            at += timedelta(minutes=rng.randint(*gap))
            trip[stamp] = at
        trip.update(patient(rng))
        trip.update(plan(rng, trip))
        out.append(trip)
    return sorted(out, key=lambda t: t["called_at"])


def patient(rng):
    weeks, days = rng.randint(24, 41), rng.randint(0, 6)
    birth = max(480, int(rng.gauss(120 * weeks - 1500, 260)))
    age = rng.choice([0, 0, 0, 1, 1, 2, 3, 5, 9, 21])
    return Row(weeks=weeks, days=days, birth_weight=birth, weight=birth + 22 * age, age=age,
               sex=rng.choice(["female", "male"]), diagnosis=rng.choice(PROBLEMS), patient_key=f"{rng.randint(1000000, 9999999)}",
               cooling=weeks > 36 and rng.random() < 0.15)


def plan(rng, trip):
    minutes = int((trip["handed_over_at"] - trip["at_patient_at"]).total_seconds() / 60)
    tube = rng.random() < 0.45
    return Row(vehicle=rng.choice(["ground", "ground", "rotor", "fixed_wing"]), urgency=rng.choice(["immediate", "urgent", "planned"]),
               disposition="cancelled" if rng.random() < 0.06 else "completed", referring_site=rng.choice(SITES),
               receiving_site=rng.choice(HOSPITALS), ventilator_id=f"V{rng.randint(1, 4)}", planned_duration=minutes + rng.randint(10, 40),
               planned_oxygen=rng.randint(120, 900), planned_air=rng.randint(100, 700), tube=tube,
               tube_confirmed=tube if tube else None, intubation_attempts=rng.randint(1, 3) if tube else 0,
               handover_structured=rng.random() < 0.8, died_in_transit=False, miles=rng.randint(8, 160),
               crew=rng.choice(["Ames/Lowe", "Brandt/Oyelaran", "Kettle/Ruiz"]))


def assessment(rng, trip, stage):
    """What a crew writes down at one stage."""
    at = {"referring_arrival": trip["at_patient_at"], "referring_departure": trip["departed_referring_at"],
          "receiving_arrival": trip["handed_over_at"]}[stage]
    return Row(number=trip["number"], stage=stage, recorded_at=at, temperature=round(rng.gauss(36.7, 0.5), 1),
               respiratory_rate=rng.randint(28, 74), heart_rate=rng.randint(108, 182), spo2=rng.randint(84, 100),
               fio2=rng.choice([21, 21, 25, 30, 40, 60, 100]), systolic_pressure=rng.randint(34, 72),
               respiratory_status=rng.choice(["none", "moderate", "severe"]), response=rng.choice(["vigorous", "lethargic", "none"]),
               ph=round(rng.gauss(7.31, 0.07), 2), pco2=round(rng.gauss(48, 8), 1), po2=round(rng.gauss(63, 12), 1),
               glucose=rng.randint(38, 128), mean_airway_pressure=round(rng.gauss(10, 1.5), 1), crew=trip["crew"])


def assessments(rng, all_trips):
    return [assessment(rng, t, s) for t in all_trips for s in STAGES]


def minutes(rng, n, start, step=60, device="V2"):
    """A device's readings, a row every step seconds."""
    fio2 = 30
    out = []
    for i in range(n):
        fio2 = max(21, min(100, fio2 + rng.choice([0, 0, 0, 0, 5, -5])))
        out.append(Row(device_id=device, recorded_at=start + timedelta(seconds=i * step), pip=rng.randint(16, 25), peep=rng.randint(4, 7),
                       mean_airway_pressure=round(rng.uniform(8, 12), 1), rate=rng.randint(32, 68), expired_tidal_volume=round(rng.uniform(6, 14), 1),
                       minute_volume=round(rng.uniform(0.25, 0.8), 2), leak=rng.randint(0, 38), fio2=fio2, spo2=rng.randint(86, 100),
                       heart_rate=rng.randint(112, 178), etco2=rng.randint(33, 58), temperature=round(rng.uniform(36.1, 37.4), 1),
                       blood_pressure=rng.randint(34, 66), battery_charge=max(20, 100 - i // 2), flow=round(rng.uniform(6, 9), 1),
                       oxygen_supply_pressure=rng.randint(330, 420), air_supply_pressure=rng.randint(330, 420)))
    return out


def changes(rng, n, start):
    """A ventilator's settings, a row for each change."""
    out, at = [], start
    for _ in range(n):
        at += timedelta(minutes=rng.randint(3, 140), seconds=rng.randint(0, 59))
        mode, interface = rng.choice([("simv", "tube"), ("assist_control", "tube"), ("pressure_support", "tube"), ("cpap", "nasal"),
                                      ("nippv", "nasal"), ("high_flow", "nasal"), ("standby", "none"), ("hfov", "tube")])
        out.append(Row(device_id="V3", recorded_at=at, mode=mode, interface=interface, pip=rng.randint(14, 26), peep=rng.randint(4, 8),
                       pressure_support=rng.randint(5, 12), rate=rng.randint(20, 60), inspiratory_time=round(rng.uniform(0.3, 0.5), 2), flow=rng.randint(5, 10),
                       fio2=rng.choice([21, 25, 30, 40, 50, 70, 100]), nitric_oxide=rng.choice([0, 0, 5, 10, 20]),
                       mean_airway_pressure=rng.randint(8, 16), amplitude=rng.randint(18, 40), frequency=rng.randint(8, 14),
                       continuous_flow=rng.random() < 0.7, trigger_sensitivity=rng.randint(1, 9)))
    return out


def alarms(rng, n, start, conditions, device="V1"):
    out, at = [], start
    for _ in range(n):
        at += timedelta(minutes=rng.randint(1, 45), seconds=rng.randint(0, 59))
        end = at + timedelta(seconds=rng.randint(2, 240))
        out.append(Row(device_id=device, started_at=at, ended_at=end, silenced_at=at + timedelta(seconds=rng.randint(1, 2)) if rng.random() < 0.5 else None,
                       condition=rng.choice(conditions), priority=rng.choice(["high", "medium", "low"]),
                       alarm_limit=rng.randint(30, 40), observed=rng.randint(41, 60)))
    return out


def cylinder(rng, trip, gas, size, full):
    """A cylinder on a trip; pressures in the unit that full is in."""
    start = int(full * rng.uniform(0.6, 1.0))
    end = int(start * rng.uniform(0.25, 0.9))
    return Row(number=trip["number"], gas=gas, size=size, start=start, end=end, supply=rng.choice(["carried", "vehicle"]),
               opened_at=trip["at_patient_at"], closed_at=trip["handed_over_at"], cylinder_id=f"C{rng.randint(100, 999)}")


KINDS = ["unplanned_extubation", "line_dislodgement", "desaturation", "medication_error", "equipment_failure", "hypotension", "other"]


def incidents(rng, all_trips):
    stories = ["noticed on the ramp, corrected at once", "pump alarm ignored for 4 min; no change in plan",
               "tape loosened while turning the child", "battery dead after 35 min", "line pulled during hand-over"]
    return [Row(event_id=f"IR-{300 + 3 * i}", number=t["number"], recorded_at=t["departed_referring_at"] + timedelta(minutes=rng.randint(1, 50)),
                kind=rng.choice(KINDS), harm=rng.choice(["none", "none", "mild", "moderate", "severe"]), preventable=rng.random() < 0.4,
                device_id=t["ventilator_id"], narrative=rng.choice(stories)) for i, t in enumerate(all_trips)]
