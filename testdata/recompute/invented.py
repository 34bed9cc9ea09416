"""Random transports and all that belongs to them, as typed rows for make_exports.py.

What: `invent` gives {table: [row]}; a row is a dictionary of column to value (datetimes in UTC, numbers in canonical
units, flags, texts, `Raw` for a text written as it stands). A key that begins with an underscore is for the writer:
`_bad` marks a row with a cell or key that will be refused. Ventilators IV1 to IV4 each run through their own transports,
some of them back to back, so that widened windows meet.
How to run: make_exports.py uses it.
"""
import datetime
import zoneinfo

from contract import TABLES

UTC = datetime.timezone.utc
ZONE = zoneinfo.ZoneInfo("America/Chicago")
MIN = datetime.timedelta(minutes=1)
SITES = ("Saint-J\u00e9r\u00f4me", "Nu\u00f1ez Valley", "M\u00fchlbach", "Prairie Fork", "Lake Orrin; North", "Elm, East")
LATER = ("departed_base_at", "arrived_referring_at", "at_patient_at", "departed_referring_at", "arrived_receiving_at",
         "handed_over_at", "available_at")
STEPS = ((5, 60), (15, 120), (2, 15), (30, 150), (15, 120), (5, 30), (10, 60))
STYLES = {
    "invasive": [("simv", "tube"), ("assist_control", "tube"), ("cmv", "tube"), ("cpap", "tube"), ("hfov", "tube"),
                 ("standby", "tube"), ("simv", None)],
    "breathing": [("cpap", "nasal"), ("nippv", "nasal"), ("high_flow", "nasal"), ("low_flow", "nasal"),
                  ("simv", "tube"), ("hfjv", "mask"), (None, "mask"), ("off", None), ("low_flow", "hood")],
    "mixed": [("simv", "tracheostomy"), ("cpap", "mask"), ("hfov", "nasal"), ("simv", "laryngeal_mask"),
              ("pressure_support", "none"), ("standby", "none"), ("hfjv", "tube"), ("high_flow", "nasal")],
}
READING_UNITS = {
    "pip": [("", 1, 0), ("cmH2O", 1, 0), ("mbar", 0.980665, 2)], "rate": [("", 1, 0), ("/min", 1, 0), ("bpm", 1, 0)],
    "spo2": [("%", 1, 0), ("", 1, 0)], "heart_rate": [("bpm", 1, 0), ("/min", 1, 0)],
    "etco2": [("mmHg", 1, 0), ("kPa", 0.133322, 2), ("mm[Hg]", 1, 0)], "temperature": [("Cel", 1, 1), ("", 1, 1)],
    "expired_tidal_volume": [("mL", 1, 1), ("L", 0.001, 4)],
}
READING_RANGE = {"pip": (12, 30), "rate": (20, 70), "spo2": (80, 100), "heart_rate": (100, 190), "etco2": (25, 65),
                 "temperature": (35, 38), "expired_tidal_volume": (4, 40)}
CONDITIONS = ("pip_high", "apnea", "disconnection", "leak", "spo2_low", "rate_high", "minute_volume_low", "battery_low")
EVENT_KINDS = ("unplanned_extubation", "line_dislodgement", "medication_error", "equipment_failure", "cardiac_arrest",
               "gas_supply_failure", "power_failure", "patient_injury", "crew_injury", "hypotension", "other")


class Raw:
    """A text that stands in the file as it is."""

    def __init__(self, text):
        self.text = text


def maybe(dice, chance, value):
    """The value, or now and then nothing."""
    return value if dice.random() < chance else None


def between(dice, low, high, digits=0):
    """A random number, rounded."""
    value = round(dice.uniform(low, high), digits)
    return int(value) if digits == 0 else value


def near_clock_change(moment):
    """Whether a day and a half around may hold a change of the clocks."""
    day = datetime.timedelta(hours=36)
    return (moment - day).astimezone(ZONE).utcoffset() != (moment + day).astimezone(ZONE).utcoffset()


class Inventor:
    """Collects the rows of all tables."""

    def __init__(self, dice, year):
        self.dice, self.year = dice, year
        self.tables = {table: [] for table in TABLES}
        self.serial = 0

    def add(self, table, **cells):
        """Adds a row and gives it back."""
        self.tables[table].append(cells)
        return cells

    # ---- transports ----

    def run_of(self, ventilator, count):
        """The transports of one ventilator, one after another."""
        dice = self.dice
        moment = datetime.datetime(self.year, 11, 4, 12, tzinfo=UTC) + between(dice, 0, 6000) * MIN
        for _ in range(count):
            while near_clock_change(moment):
                moment += 720 * MIN
            row = self.transport(ventilator, moment)
            end = row["available_at"] or moment + 480 * MIN
            gap = between(dice, 20, 65) if dice.random() < 0.35 else between(dice, 3000, 15 * 1440)
            moment = end + gap * MIN

    def transport(self, ventilator, accepted):
        """One transport with everything that belongs to it."""
        dice = self.dice
        self.serial += 1
        row = self.base_row(f"R{self.serial:03d}", ventilator, accepted)
        full = dict(row)
        disposition = row["disposition"]
        if disposition == "declined":
            for stamp in LATER:
                row[stamp] = None
            row["disposition_reason"] = dice.choice(("no_equipment", "no_team", "weather"))
            row["ventilator_id"] = maybe(dice, 0.3, ventilator)
        elif disposition == "cancelled":
            for stamp in LATER[dice.choice((0, 1, 2)):-1]:
                row[stamp] = None
            row["disposition_reason"] = dice.choice(("patient_condition", "referrer", None))
        else:
            self.care(full)
            self.blemish(row)
        if dice.random() < 0.12:
            self.correct(row)
        self.tables["transports"].append(row)
        return full

    def base_row(self, name, ventilator, accepted):
        """A complete, clean transports row."""
        dice = self.dice
        row = {"transport_id": name, "accepted_at": accepted, "called_at": accepted - between(dice, 0, 20) * MIN}
        moment = accepted
        for stamp, (low, high) in zip(LATER, STEPS):
            moment += between(dice, low, high) * MIN
            row[stamp] = moment
        row.update(
            team=dice.choice(("North", "South", None)), vehicle=dice.choice(("ground", "rotor", "fixed_wing", "Ground")),
            urgency=dice.choice(("immediate", "urgent", "planned", None)),
            disposition=dice.choice(("completed",) * 10 + (None, "declined", "cancelled")), disposition_reason=None,
            referring_site=dice.choice(SITES), receiving_site="Harbor Children\u2019s" if dice.random() < .5 else SITES[0],
            delay_reason=dice.choice((None, None, None, "no_equipment", "no_vehicle", "weather")),
            patient_key=f"P{between(dice, 1, 50):04d}", sex=dice.choice(("female", "male", None)),
            gestation=maybe(dice, 0.85, between(dice, 23, 41) + between(dice, 0, 6) / 7),
            birth_weight=maybe(dice, 0.8, between(dice, 500, 4200)), weight=maybe(dice, 0.8, between(dice, 500, 6000)),
            age_at_call=dice.choice((None, 0.1, 1, 5, 20, 28, 29, 45, 400)),
            diagnosis=dice.choice(("respiratory", "prematurity", "cardiac", "surgical", None)),
            cooling=dice.choice((True, False, None, None)), ventilator_id=ventilator if dice.random() < 0.95 else None,
            planned_duration=maybe(dice, 0.8, between(dice, 4, 20) * 15),
            planned_oxygen=dice.choice((None, 0, 100, 250, 400, 600)), planned_air=dice.choice((None, 100, 300)),
            tube_confirmed=dice.choice((True, True, False, None)), intubation_attempts=dice.choice((None, 0, 1, 1, 2, 3)),
            intubation_success=dice.choice((True, False, None)), handover_structured=dice.choice((True, False, None)),
            died_in_transit=dice.choice((False,) * 8 + (True, None)),
            died_within_7_days=dice.choice((False,) * 6 + (True, None)))
        return row

    def blemish(self, row):
        """Missing stamps, stamps out of order, cells that will be refused."""
        dice = self.dice
        for stamp in ("called_at", "accepted_at") + LATER:
            if stamp != "departed_referring_at" and dice.random() < 0.05:
                row[stamp] = None
        if dice.random() < 0.08:
            row["departed_base_at"] = row["called_at"] and row["called_at"] - 7 * MIN
        if dice.random() < 0.06 and row["departed_referring_at"]:
            row["arrived_receiving_at"] = row["departed_referring_at"] - 15 * MIN
        if dice.random() < 0.12:
            row["_bad"] = True
            row[dice.choice(("birth_weight", "weight", "planned_duration"))] = Raw("999999999")
        if dice.random() < 0.06:
            row["_bad"] = True
            row["diagnosis"] = Raw("mystery")
        if dice.random() < 0.05:
            row["_bad"] = True
            row["at_patient_at"] = Raw("13 o'clock")

    def correct(self, row):
        """An earlier version of the row, in the first file; the good one goes to the last."""
        earlier = dict(row, team="Typo", referring_site="Elm, East", _file=0)
        self.tables["transports"].append(earlier)
        row["_file"] = -1

    # ---- what belongs to a completed transport ----

    def care(self, t):
        """Device logs, assessments, gas, power, events, checks of one transport."""
        dice = self.dice
        named = dice.random() < 0.5
        monitor = "IM" + (t["ventilator_id"] or "IV1")[2:]
        self.add("carried", transport_id=t["transport_id"], device_id=monitor)
        self.assessments(t)
        self.settings(t, named)
        self.readings(t, named, monitor)
        self.alarms(t, named, monitor)
        self.cylinders(t)
        self.power(t, named)
        self.events(t)
        self.checks(t)

    def owner(self, t, named, device):
        """The cells that say whose a device row is."""
        if not named or device is None and t["ventilator_id"] is None:
            return {"transport_id": None if not named else t["transport_id"], "device_id": device}
        return {"transport_id": t["transport_id"], "device_id": None if self.dice.random() < 0.03 else device}

    def assessments(self, t):
        """Two or three stages, the last one sometimes twice."""
        dice = self.dice
        for stage, stamp in (("referring_arrival", "at_patient_at"), ("referring_departure", "departed_referring_at"),
                             ("receiving_arrival", "arrived_receiving_at"), ("receiving_arrival", "handed_over_at")):
            if stamp == "handed_over_at" and dice.random() < 0.6 or dice.random() < 0.1:
                continue
            row = self.add(
                "assessments", transport_id=t["transport_id"], stage=stage, recorded_at=maybe(dice, 0.9, t[stamp]),
                temperature=maybe(dice, 0.9, between(dice, 35.8, 38.2, 1)), spo2=between(dice, 80, 100),
                respiratory_status=dice.choice(("none", "moderate", "severe", None)), fio2=between(dice, 21, 100),
                respiratory_rate=between(dice, 20, 80), heart_rate=between(dice, 90, 190),
                systolic_pressure=between(dice, 30, 90), response=dice.choice(("vigorous", "lethargic", "none")),
                ph=maybe(dice, 0.8, between(dice, 7.05, 7.5, 2)), pco2=maybe(dice, 0.8, between(dice, 25, 75, 1)),
                po2=maybe(dice, 0.6, between(dice, 35, 120, 1)), glucose=maybe(dice, 0.7, between(dice, 30, 140)))
            if dice.random() < 0.06:
                row.update(_bad=True, **{dice.choice(("ph", "pco2", "glucose")): Raw("unk")})

    def settings(self, t, named):
        """A course of support with flicker."""
        dice = self.dice
        style = STYLES[dice.choice(("invasive", "breathing", "mixed"))]
        moment = t["arrived_referring_at"] - between(dice, -30, 25) * MIN
        state = dice.choice(style)
        while moment < t["handed_over_at"] + 20 * MIN:
            self.settings_row(t, named, moment, state)
            step = dice.choice((30, 60, 90, 119, 120, 121, 300, 1200, 2400, 3600))
            moment += datetime.timedelta(seconds=step)
            state = dice.choice(style) if dice.random() < 0.6 else state
        if dice.random() < 0.3:
            self.settings_row(t, named, moment, dice.choice(style))
            self.settings_row(t, named, moment, dice.choice(style))
        if not named and t["ventilator_id"]:
            for minutes in dice.sample((-95, -45, -31, -29, -12, -3), 2):
                self.settings_row(t, named, t["accepted_at"] + minutes * MIN, state)
                self.settings_row(t, named, t["available_at"] - minutes * MIN, state)

    def settings_row(self, t, named, moment, state):
        """One settings row."""
        dice = self.dice
        row = self.add(
            "settings", recorded_at=moment, mode=state[0], interface=state[1],
            continuous_flow=dice.choice((True, True, None, False)), rate=between(dice, 20, 60),
            inspiratory_time=between(dice, 0.25, 0.6, 2), flow=between(dice, 2, 12), fio2=between(dice, 21, 100),
            pip=between(dice, 14, 28), peep=between(dice, 4, 8), **self.owner(t, named, t["ventilator_id"]))
        if dice.random() < 0.01:
            row.update(_bad=True, fio2=Raw("150"))
        if dice.random() < 0.01:
            row.update(_bad=True, recorded_at=None)
        if dice.random() < 0.01:
            row.update(_bad=True, mode=Raw("turbo"))

    def readings(self, t, named, monitor):
        """Readings of the ventilator and of the monitor every quarter of an hour."""
        dice = self.dice
        for device, names in ((t["ventilator_id"], ("pip", "rate", "expired_tidal_volume")),
                              (monitor, ("spo2", "heart_rate", "etco2", "temperature"))):
            moment = t["arrived_referring_at"] + between(dice, -5, 25) * MIN
            while moment < t["handed_over_at"] + 5 * MIN:
                self.reading(t, named, device, moment, dice.choice(names))
                moment += between(dice, 10, 25) * MIN
            if not named:
                for minutes in (29, 34):
                    self.reading(t, named, device, t["available_at"] + minutes * MIN, names[0])

    def reading(self, t, named, device, moment, quantity):
        """One reading in one of its units."""
        dice = self.dice
        unit, factor, digits = dice.choice(READING_UNITS[quantity])
        value = between(dice, *READING_RANGE[quantity]) * factor
        row = self.add("readings", recorded_at=moment, quantity=quantity, value=Raw(f"{value:.{digits}f}"),
                       unit=unit or None, **self.owner(t, named, device))
        trouble = dice.random()
        if trouble < 0.01:
            row.update(_bad=True, value=Raw("4000"))
        elif trouble < 0.02:
            row.update(_bad=True, unit="furlong")
        elif trouble < 0.025:
            row.update(_bad=True, quantity="mood")
        elif trouble < 0.03:
            row.update(_bad=True, value=None)

    def alarms(self, t, named, monitor):
        """A few alarms, sometimes a burst."""
        dice = self.dice
        moment = t["arrived_referring_at"]
        for _ in range(dice.choice((0, 2, 4, 9, 16, 25))):
            device = dice.choice((t["ventilator_id"], monitor))
            moment += datetime.timedelta(seconds=dice.choice((15, 40, 59, 60, 61, 300, 900)))
            end = moment + datetime.timedelta(seconds=dice.choice((0, 5, 30, 90, 600)))
            row = self.add("alarms", started_at=moment, ended_at=maybe(dice, 0.85, end),
                           condition=dice.choice(CONDITIONS), priority=dice.choice(("high", "medium", "low", None)),
                           **self.owner(t, named, device))
            if row["condition"] == "pip_high":
                row.update(alarm_limit=between(dice, 25, 35), observed=between(dice, 35, 45),
                           unit=dice.choice(("cmH2O", None)))
            if dice.random() < 0.02:
                row.update(_bad=True, condition="gremlin")
            elif dice.random() < 0.02:
                row.update(_bad=True, priority=Raw("urgentest"))

    def cylinders(self, t):
        """Cylinders of both gases, wall supply at the referring hospital."""
        dice = self.dice
        for gas, most in (("oxygen", 3), ("air", 1)):
            for i in range(dice.randint(0, most)):
                self.bottle(t, gas, i)
        if dice.random() < 0.6:
            self.add("cylinders", transport_id=t["transport_id"], supply="wall", gas=dice.choice(("oxygen", "oxygen", "air")),
                     opened_at=maybe(dice, 0.6, t["at_patient_at"] + between(dice, 0, 10) * MIN),
                     closed_at=maybe(dice, 0.6, t["departed_referring_at"] - between(dice, -3, 12) * MIN))

    def bottle(self, t, gas, i):
        """One cylinder."""
        dice = self.dice
        row = self.add("cylinders", transport_id=t["transport_id"], cylinder_id=maybe(dice, 0.7, f"C{i}"),
                       supply=dice.choice(("carried", None, "vehicle")), gas=gas)
        if gas == "oxygen" and dice.random() < 0.1:
            start = between(dice, 5, 30, 2)
            row.update(size="liquid", start_mass=start, end_mass=maybe(dice, 0.8, round(start - dice.uniform(0, 3), 2)))
            return
        start = between(dice, 6000, 15000)
        row.update(size=dice.choice(("E", "D", "M", "E", "2 L", "10 L", "4.7 L")), start_pressure=start,
                   end_pressure=maybe(dice, 0.93, max(0, start - between(dice, -200, 6000))))
        if dice.random() < 0.03:
            row.update(_bad=True, end_pressure=Raw("-50"))

    def power(self, t, named):
        """The ventilator's supply through the trip."""
        dice = self.dice
        if t["ventilator_id"] is None or dice.random() < 0.2:
            return
        source, dimmed = "external", None
        moment = t["accepted_at"]
        while moment < t["available_at"]:
            row = self.add("power", recorded_at=moment, source=source, charge=between(dice, 20, 100),
                           display_dimmed=dimmed, device_id=t["ventilator_id"],
                           transport_id=t["transport_id"] if named else None)
            if dice.random() < 0.02:
                row.update(_bad=True, charge=Raw("101"))
            moment += between(dice, 10, 90) * MIN
            source = dice.choice(("battery", "battery", "external", "off"))
            dimmed = dice.choice((True, False, None))

    def events(self, t):
        """Adverse events; some rows are corrected, some name nobody known."""
        dice = self.dice
        for _ in range(dice.choice((0, 0, 0, 0, 1, 1, 2))):
            self.serial += 1
            row = self.add("events", event_id=maybe(dice, 0.8, f"EVT{self.serial}"), transport_id=t["transport_id"],
                           recorded_at=t["departed_referring_at"], kind=dice.choice(EVENT_KINDS),
                           harm=dice.choice(("none", "mild", "moderate", "severe", "death", None)),
                           preventable=dice.choice((True, False, None)), narrative="Said \"stop\", then went on; twice.")
            if row["event_id"] and dice.random() < 0.2:
                self.tables["events"].insert(-1, dict(row, harm="none", kind="other", _file=0))
                row["_file"] = -1
        if dice.random() < 0.05:
            self.add("events", transport_id="NOBODY", kind="other", harm="severe", recorded_at=t["accepted_at"])

    def checks(self, t):
        """Pre-use checks before and after the edge of twelve hours."""
        dice = self.dice
        for hours in dice.sample((-13, -11, -5, -1, 0.2, 30), dice.choice((0, 1, 2, 3))):
            if t["ventilator_id"]:
                self.add("checks", transport_id=maybe(dice, 0.5, t["transport_id"]), device_id=t["ventilator_id"],
                         recorded_at=t["accepted_at"] + 60 * hours * MIN, kind=dice.choice(("leak", "leak", "battery")),
                         result=dice.choice(("pass", "pass", "fail", "skipped")))

    # ---- the register ----

    def register(self):
        """Devices, their service, notes."""
        dice = self.dice
        for i in range(1, 5):
            ratings = {1: (240, 300), 2: (180, None), 3: (None, None), 4: (300, 360)}[i]
            self.add("devices", device_id=f"IV{i}", kind="ventilator",
                     in_service_on=datetime.date(self.year, 11, 20) if i == 4 else None,
                     retired_on=datetime.date(self.year + 1, 3, 10) if i == 2 else None, purchase_cost=30000 + i,
                     battery_endurance=ratings[0], battery_endurance_display_dimmed=ratings[1])
            self.add("devices", device_id=f"IM{i}", kind="monitor")
            for _ in range(dice.choice((0, 1, 2, 3))):
                removed = datetime.datetime(self.year, 11, 22, 8, tzinfo=UTC) + between(dice, 0, 100000) * MIN
                self.add("service", device_id=f"IV{i}", removed_at=removed, cost=between(dice, 0, 900),
                         returned_at=maybe(dice, 0.85, removed + between(dice, 60, 9000) * MIN),
                         reason=dice.choice(("failure", "failure", "preventive", "recall")))
        for day in range(1, 9):
            self.add("notes", noted_on=datetime.date(self.year, 12, day), kind=dice.choice(("change", "action")),
                     measure=dice.choice((None, "mobilization_time")), text=f"Agreed step {day}; \"as said\"")
        self.tables["notes"][-1].update(_bad=True, kind="wish")


def invent(dice, year, transports):
    """{table: rows} of so many random transports from November of a year to March of the next."""
    inventor = Inventor(dice, year)
    for i in range(1, 5):
        inventor.run_of(f"IV{i}", transports // 4 + (i <= transports % 4))
    inventor.register()
    return inventor.tables
