"""Gas and battery of one transport.

What: cylinder contents, use, gauge error, gas time, the last oxygen demand and the minutes it leaves, battery minutes and
their share of the rated endurance. Comes in: a Transport of timelines.py. Gas in litres, pressure in kPa gauge, times in
microseconds unless a name says minutes.
How to run: recompute.py uses it.
"""
import math
import re

from timelines import MINUTE, clip, rounded, settings_timeline, support_class, timeline, union_length

LETTER_FACTORS = {"D": 0.16, "E": 0.28, "M": 1.56, "G": 2.41, "H": 3.14, "K": 3.14}  # L of free gas per psi
KPA_PER_PSI = 6.894757293168
LITRES_PER_KG = 344 / 0.45359237
HALF_DIVISION_PSI = 25


# ---- gas ----

def litres_per_kpa(size):
    """Litres of free gas per kPa gauge for a cylinder size, or None for a size that is not known."""
    name = (size or "").strip().upper()
    if name in LETTER_FACTORS:
        return LETTER_FACTORS[name] / KPA_PER_PSI
    match = re.match(r"(\d+(?:\.\d+)?)\s*L?\Z", name)
    return float(match.group(1)) / 100 if match else None


def litres(size, kpa):
    """Contents of a cylinder at a gauge pressure."""
    return litres_per_kpa(size) * kpa


def contents(row):
    """(start, end, squared gauge error) in litres of a cylinder row, or None where it cannot be told."""
    if row["start_mass"] is not None or row["end_mass"] is not None:
        if row["start_mass"] is None or row["end_mass"] is None:
            return None
        return row["start_mass"] * LITRES_PER_KG, row["end_mass"] * LITRES_PER_KG, 0.0
    if row["start_pressure"] is None or row["end_pressure"] is None or litres_per_kpa(row["size"]) is None:
        return None
    error = litres(row["size"], HALF_DIVISION_PSI * KPA_PER_PSI)
    return litres(row["size"], row["start_pressure"]), litres(row["size"], row["end_pressure"]), 2 * error ** 2


class GasPicture:
    """Use of one gas on one transport; `complete` says whether every cylinder of it can be told."""

    def __init__(self, t, gas):
        rows = [r for r in t.by_table["cylinders"] if r["gas"] == gas]
        bottles = [r for r in rows if r["supply"] != "wall"]
        told = [contents(r) for r in bottles]
        self.complete = bool(bottles) and all(c is not None for c in told)
        self.minutes = gas_minutes(t, [r for r in rows if r["supply"] == "wall"])
        if self.complete:
            self.used = math.fsum(c[0] - c[1] for c in told)
            self.error = math.sqrt(math.fsum(c[2] for c in told))
            self.carried_left = [c[1] for c, r in zip(told, bottles) if r["supply"] != "vehicle"]


def wall_spans(t, walls):
    """[(start, end)] of wall supply clipped to under way, or None where the end of one cannot be told."""
    spans = []
    for row in walls:
        a = t.under_way[0] if row["opened_at"] is None else row["opened_at"]
        b = t["departed_referring_at"] if row["closed_at"] is None else row["closed_at"]
        if b is None:
            return None
        spans.append(clip((a, b), t.under_way))
    return spans


def gas_minutes(t, walls):
    """Minutes under way on gas of our own, or None."""
    if t.under_way is None:
        return None
    spans = wall_spans(t, walls)
    return None if spans is None else (t.under_way[1] - t.under_way[0] - union_length(spans)) / MINUTE


def total_rate(t, row, moment):
    """Breaths a minute: the set rate, or the total rate that readings show at a moment where it is above."""
    rate = row["rate"]
    shown = [r for r in t.linked["readings"] if r["quantity"] == "rate" and r["recorded_at"] <= moment
             and (t["ventilator_id"] is None or r["device_id"] in (None, t["ventilator_id"]))]
    if rate is None or not shown:
        return rate
    return max(rate, max(shown, key=lambda r: (r["recorded_at"], r.order))["value"])


def flow_demand(t, row, moment):
    """Total flow (L/min) that the settings ask for at a moment, or None where they do not say."""
    name = support_class(row)
    if name == "none":
        return 0.0
    steady = row["continuous_flow"] is not False or name in ("low_flow", "high_flow", "cpap", "high_frequency")
    if steady or row["flow"] is None:
        return row["flow"]
    rate = total_rate(t, row, moment)
    if rate is None or row["inspiratory_time"] is None:
        return None
    return rate * row["inspiratory_time"] / 60 * row["flow"]


def oxygen_demand(t, row, moment):
    """Oxygen flow (L/min) asked for at a moment, or None where flow or fraction is not told."""
    flow = flow_demand(t, row, moment)
    if flow == 0 and support_class(row) == "none":
        return 0.0
    if flow is None or row["fio2"] is None:
        return None
    return max(0.0, flow * (row["fio2"] / 100 - 0.21) / 0.79)


def last_oxygen_demand(t):
    """The last oxygen demand above nothing during gas time; 0 where there was none, None where it is not told."""
    walls = [r for r in t.by_table["cylinders"] if r["gas"] == "oxygen" and r["supply"] == "wall"]
    spans = wall_spans(t, walls) if t.under_way else None
    if spans is None:
        return None
    readings = {r["recorded_at"] for r in t.linked["readings"] if r["quantity"] == "rate"}
    for start, end, row in reversed(settings_timeline(t)):
        edges = {start, end} | {m for m in readings if start < m < end}
        edges = sorted(edges | {m for s in spans for m in s if start < m < end})
        for a, b in reversed(list(zip(edges, edges[1:]))):
            on_wall = any(s[0] <= a and b <= s[1] for s in spans)
            demand = 0.0 if on_wall else oxygen_demand(t, row, a)
            if demand is None or rounded(demand) > 0:
                return demand
    return 0.0


def reserve_short(t, gas, reserve_minutes=30):
    """Whether the carried oxygen would not have lasted the reserve at the last demand; None outside the population."""
    if not gas.complete or not gas.carried_left:
        return None
    demand = last_oxygen_demand(t)
    if demand is None:      # no time under way, an open wall supply, or settings that do not say
        return None
    return demand > 0 and rounded(math.fsum(gas.carried_left) / demand) < reserve_minutes


# ---- power ----

def battery_minutes(t):
    """(minutes undimmed, minutes dimmed) on battery under way, or None outside the population."""
    rows = [r for r in t.linked["power"] if t["ventilator_id"] is not None and r["device_id"] == t["ventilator_id"]]
    if not rows or t.under_way is None:
        return None
    span = {False: 0, True: 0}
    for start, end, row in timeline(rows, t.under_way):
        if row["source"] == "battery":
            span[row["display_dimmed"] is True] += end - start
    return span[False] / MINUTE, span[True] / MINUTE


def overdrawn(t, minutes, devices, share=0.8):
    """Whether the battery gave more than the share of its rated endurance; None where no rating is known."""
    device = devices.get(t["ventilator_id"])
    bright = device["battery_endurance"] if device else None
    dim = device["battery_endurance_display_dimmed"] if device else None
    dim = bright if dim is None else dim
    if minutes is None or dim is None or (bright is None and minutes[0] > 0):
        return None
    return rounded((minutes[0] / bright if bright else 0.0) + minutes[1] / dim) > share
