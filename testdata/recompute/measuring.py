"""From what happened on each transport to measure objects.

What: per transport one contribution to every measure it belongs to; contributions pooled by month and group; value,
interval and counts from slowstats.py. Comes in: a World. Goes out: dictionaries with the keys of
`tripwake measure --format json`. Texts of `method` are this program's own words.
How to run: recompute.py uses it.
"""
import math
from decimal import ROUND_HALF_UP, Decimal

import slowstats
from contract import MEASURES
from grouping import NOT_RECORDED, device_failures, group_of, month_span, period_of
from supplies import GasPicture, battery_minutes, overdrawn, reserve_short
from timelines import HOUR, MINUTE, TUBED, AlarmPicture, episodes, month_of, rounded

TARGETS = {"mobilization_time": 30}
HARMFUL = ("mild", "moderate", "severe", "death")


# ---- one transport's contributions ----

def contributions(t, world):
    """{measure: contribution} of a transport; a measure it is not in is absent."""
    found = {}
    add_demand(found, t)
    if t.went_out:
        for kind in ("patient_injury", "crew_injury"):
            found[kind] = (sum(e["kind"] == kind for e in t.by_table["events"]), 1)
    if t.completed:
        runs = episodes(t)
        add_times(found, t)
        add_arrival(found, t, runs)
        add_airway(found, t, runs)
        add_events(found, t, runs)
        add_outcome(found, t)
        add_alarms(found, t)
        add_support(found, runs)
        add_gas(found, t)
        add_power(found, t, world)
        add_readiness(found, t, world)
    return {k: v for k, v in found.items() if v is not None}


def add_demand(found, t):
    """Declined and delayed."""
    found["declined"] = int(t.disposition == "declined")
    found["declined_no_equipment"] = int(t.disposition == "declined" and t["disposition_reason"] == "no_equipment")
    if t.completed:
        found["delayed_no_equipment"] = int(t["delay_reason"] == "no_equipment")


def add_times(found, t):
    """Intervals in minutes."""
    if t["urgency"] in ("immediate", "urgent", None):
        found["mobilization_time"] = t.interval("accepted_at", "departed_base_at")
        found["response_time"] = t.interval("called_at", "arrived_referring_at")
    found["stabilization_time"] = t.interval("arrived_referring_at", "departed_referring_at")
    found["patient_leg_time"] = t.interval("departed_referring_at", "arrived_receiving_at")
    found["trip_time"] = t.interval("accepted_at", "available_at")
    if t.under_way:
        found["care_time"] = (t.under_way[1] - t.under_way[0]) / MINUTE


def one_decimal(value):
    """Rounded to 0.1, halves away from zero."""
    return Decimal(repr(rounded(value))).quantize(Decimal("0.1"), ROUND_HALF_UP)


def add_arrival(found, t, runs):
    """Condition on arrival."""
    temperature, pco2 = t.last_assessment("temperature"), t.last_assessment("pco2")
    ph, glucose = t.last_assessment("ph"), t.last_assessment("glucose")
    young = t["age_at_call"] is None or rounded(t["age_at_call"]) < 29
    if young and t["cooling"] is not True and temperature is not None:
        found["hypothermia_on_arrival"] = int(one_decimal(temperature) < Decimal("36.5"))
        found["hyperthermia_on_arrival"] = int(one_decimal(temperature) > Decimal("37.5"))
    if runs and runs[-1].name in TUBED and pco2 is not None:
        found["hypocarbia_on_arrival"] = int(rounded(pco2) < 30.0)
        if ph is not None:
            found["hypercarbia_on_arrival"] = int(rounded(pco2) > 52.5 and rounded(ph) < 7.2)
    if glucose is not None:
        found["glucose_low_on_arrival"] = int(rounded(glucose) < 45.0)


def tube_runs(runs):
    """Invasive and high-frequency episodes with a tube."""
    return [r for r in runs if r.name in TUBED and r.tube]


def add_airway(found, t, runs):
    """Airway and hand-over."""
    if tube_runs(runs) and t["tube_confirmed"] is not None:
        found["tube_confirmed"] = int(t["tube_confirmed"])
    attempts = t["intubation_attempts"]
    if attempts is not None and attempts >= 1:
        found["first_attempt_intubation"] = int(attempts == 1 and t["intubation_success"] is not False)
    if t["handover_structured"] is not None:
        found["structured_handover"] = int(t["handover_structured"])


def add_events(found, t, runs):
    """Events as (count, exposure)."""
    events = t.by_table["events"]

    def count(*kinds):
        return sum(e["kind"] in kinds for e in events)

    found["adverse_events"] = (len(events), 1)
    found["transports_with_event"] = int(len(events) > 0)
    found["preventable_events"] = (sum(e["preventable"] is True for e in events), 1)
    found["harmful_events"] = (sum(e["harm"] in HARMFUL for e in events), 1)
    found["serious_events"] = (sum(e["harm"] in ("severe", "death") for e in events), 1)
    found["device_dislodgement"] = (count("unplanned_extubation", "line_dislodgement"), 1)
    found["medication_error"] = (count("medication_error"), 1)
    found["equipment_failure"] = (count("equipment_failure", "gas_supply_failure", "power_failure"), 1)
    found["cardiac_arrest"] = (count("cardiac_arrest"), 1)
    if tube_runs(runs):
        hours = math.fsum(r.length / HOUR for r in tube_runs(runs))
        found["unplanned_extubation"] = (count("unplanned_extubation"), 1)
        found["unplanned_extubation_hours"] = (count("unplanned_extubation"), hours)


def add_outcome(found, t):
    """Deaths."""
    for column in ("died_in_transit", "died_within_7_days"):
        if t[column] is not None:
            found[column] = int(t[column])


def add_alarms(found, t):
    """Alarms of a monitored transport."""
    picture = AlarmPicture(t)
    if picture.hours <= 0:
        return
    found["alarms_per_hour"] = (len(picture.onsets), picture.hours)
    found["high_priority_alarms_per_hour"] = (picture.high, picture.hours)
    found["repeat_alarms"] = (picture.repeats, len(picture.onsets))
    found["alarm_flood"] = int(picture.flood)
    found["alarming_time"] = (picture.sounding_hours, picture.hours)


def add_support(found, runs):
    """Changes of support."""
    if not runs:
        return
    found["conversions"] = (len(runs) - 1, 1)
    if runs[0].name in ("cpap", "nippv"):
        found["escalations"] = int(any(r.name in TUBED for r in runs[1:]))


def add_gas(found, t):
    """Gas use."""
    for gas in ("oxygen", "air"):
        picture, plan = GasPicture(t, gas), t["planned_" + gas]
        if picture.complete and plan is not None and plan > 0 and rounded(picture.used) > 0:
            found[gas + "_ratio"] = (picture.used, plan)
            if gas == "oxygen":
                found["oxygen_over_plan"] = int(rounded(picture.used - plan) > rounded(picture.error))
        if gas == "oxygen":
            if picture.complete and picture.minutes:
                found["oxygen_per_hour"] = picture.used / (picture.minutes / 60)
            short = reserve_short(t, picture)
            found["oxygen_reserve_short"] = None if short is None else int(short)


def add_power(found, t, world):
    """Battery."""
    minutes = battery_minutes(t)
    if minutes is None:
        return
    found["battery_time"] = sum(minutes)
    over = overdrawn(t, minutes, world.devices)
    found["battery_overdrawn"] = None if over is None else int(over)


def add_readiness(found, t, world):
    """A passing leak check of the ventilator in the 12 h before accepting, or after, until the patient leg."""
    if t["ventilator_id"] is None or t["departed_referring_at"] is None or not t.stamps:
        return
    start = (min(t.stamps) if t["accepted_at"] is None else t["accepted_at"]) - 12 * HOUR
    found["leak_check_passed"] = int(any(
        c["device_id"] == t["ventilator_id"] and c["kind"] == "leak" and c["result"] == "pass"
        and start <= c["recorded_at"] <= t["departed_referring_at"] for c in world.load.rows("checks")))


# ---- answers ----

def answer(measure, month, by, group, items):
    """The measure object of some contributions."""
    kind, unit = MEASURES[measure]
    out = {"measure": measure, "month": month, "by": by, "group": group, "n": len(items), "numerator": None,
           "denominator": None, "value": None, "unit": unit, "low": None, "high": None, "method": ""}
    {"time": time_answer, "proportion": proportion_answer, "rate": rate_answer,
     "ratio": ratio_answer}[kind](out, items)
    return out


def time_answer(out, items):
    out["value"] = slowstats.quantile(items, 0.5)
    out["low"], out["high"] = slowstats.median_interval(items)
    out["method"] = "order statistics"
    out["mean"], out["p90"] = slowstats.mean(items), slowstats.quantile(items, 0.9)
    target = TARGETS.get(out["measure"])
    out["on_target"] = None
    if target is not None and items:
        out["on_target"] = 100 * sum(rounded(v) <= target for v in items) / len(items)


def proportion_answer(out, items):
    pairs = [i if isinstance(i, tuple) else (i, 1) for i in items]
    whole = all(isinstance(x, int) and isinstance(n, int) for x, n in pairs)
    add = sum if whole else math.fsum
    x, n = add(a for a, _ in pairs), add(b for _, b in pairs)
    out["numerator"], out["denominator"], out["value"] = x, n, (100 * x / n if n else None)
    if whole:
        out["n"] = n
    if out["measure"] in ("alarming_time", "record_linked"):
        out["method"] = "none"
        return
    out["method"] = "wilson"
    low, high = slowstats.wilson(x, n)
    out["low"], out["high"] = (None, None) if n == 0 else (100 * low, 100 * high)


def rate_answer(out, items):
    scale = {"/100": 100, "/1000 h": 1000, "/h": 1}[out["unit"]]
    x = sum(a for a, _ in items)
    exposure = (sum if all(isinstance(b, int) for _, b in items) else math.fsum)(b for _, b in items)
    out["numerator"], out["denominator"] = x, exposure
    if out["unit"] == "/h":
        out["method"] = "clustered"
        out["value"], out["low"], out["high"] = slowstats.clustered_ratio(items)
        return
    out["method"] = "poisson exact"
    if exposure > 0:
        low, high = slowstats.garwood(x)
        out["value"], out["low"], out["high"] = (scale * v / exposure for v in (x, low, high))


def ratio_answer(out, items):
    out["numerator"], out["denominator"] = math.fsum(a for a, _ in items), math.fsum(b for _, b in items)
    out["method"] = "log-normal t"
    out["value"], out["low"], out["high"] = slowstats.geometric([a / b for a, b in items])


class Answers:
    """All measure objects of a world."""

    def __init__(self, world):
        self.world = world
        self.given = [(t, contributions(t, world)) for t in world.transports.values()]
        self.period = period_of(world)
        self.rows = [(r, column) for table, column in (("settings", "recorded_at"), ("readings", "recorded_at"),
                                                       ("alarms", "started_at")) for r in world.load.rows(table)
                     if r["transport_id"] is None or r["transport_id"] in world.transports]   # others are in no measure yet

    def all(self, by):
        """Objects for one way of grouping: '', 'month', a group, or 'month,GROUP'."""
        months = self.period if by.split(",")[0] == "month" else ["all"]
        group = by.replace("month", "").strip(",")
        for measure in MEASURES:
            for month in months:
                for name in self._names(measure, group):
                    yield self._one(measure, month, group, name)

    def _names(self, measure, group):
        """Group values that a measure is shown for."""
        if not group:
            return [""]
        if measure == "device_failures":
            return sorted(self.world.devices) if group == "device" else [NOT_RECORDED]    # a device has no other group
        names = {group_of(t, group) for t in self.world.transports.values()}
        if measure == "record_linked":
            names |= {self._row_group(r, group) for r, _ in self.rows}
        return sorted(names)

    def _row_group(self, row, group):
        if group == "device":
            return NOT_RECORDED if row["device_id"] is None else row["device_id"]
        return group_of(self.world.link[id(row)], group)

    def _one(self, measure, month, group, name):
        if measure == "device_failures":
            return self._failures(month, group, name)
        if measure == "record_linked":
            items = [int(self.world.link[id(r)] is not None) for r, column in self.rows
                     if month in ("all", month_of(r[column], self.world.zone))
                     and (not group or self._row_group(r, group) == name)]
        else:
            items = [given[measure] for t, given in self.given if measure in given
                     and month in ("all", t.month) and (not group or group_of(t, group) == name)]
        return answer(measure, month, group, name, items)

    def _failures(self, month, group, name):
        out = answer("device_failures", month, group, name, [])
        if self.period:
            first, last = (self.period[0], self.period[-1]) if month == "all" else (month, month)
            device = name if group == "device" else None
            n, count, hours = device_failures(self.world, month_span(first, last, self.world.zone), device)
            out = answer("device_failures", month, group, name, [(count, hours)])
            out["n"] = n
        return out
