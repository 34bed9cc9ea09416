#!/usr/bin/env python3
"""Replays for purchases, recomputed slowly from the definitions.

What: for each kind of device, and for ventilators of each team, the requests, their holds, the time at each level and the
requests that N units would have left without one, always there and with units out of service away; battery and cylinder
shortfalls of one fixed candidate each. Written from definitions.md, "Replays for purchases"; shares no code with the program.
Prints JSON lines in keys of `tripwake measure --purchase --format json`: candidate, kind, team, group, name, value.

How to run:
    python3 purchases.py DIR [--time-zone America/Chicago]
The candidates are: `battery` (endurance 150 min, dimmed 180, derating 0.7) and `set` (oxygen, E and E at 2000 psi).
"""
import argparse
import json
import math
import os
import sys
import zoneinfo
from datetime import date, timedelta

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

from reading import Loader  # noqa: E402
from supplies import GasPicture, battery_minutes, contents, last_oxygen_demand, overdrawn, reserve_short  # noqa: E402
from timelines import MINUTE, World, day_start, rounded  # noqa: E402

HOUR = 60 * MINUTE
TURNAROUND = 30 * MINUTE
LONGEST = 31 * 24 * HOUR
KINDS = ("ventilator", "monitor", "incubator", "pump", "nitric_oxide_delivery")


class Fleet:
    """Transports, register and outages, with the span of whole months that has a transport."""

    def __init__(self, world, zone):
        self.world, self.zone = world, zone
        self.transports = list(world.transports.values())
        months = sorted(m for m in (t.month for t in self.transports) if m)
        first, last = months[0], months[-1]
        self.start = day_start(first_of(first), zone)
        self.end = day_start(after(first_of(last)), zone)
        self.devices = {r["device_id"]: r for r in world.load.rows("devices")}
        self.took = {}
        for t in self.transports:
            if t["ventilator_id"] is not None:
                self.took.setdefault(t["transport_id"], set()).add(t["ventilator_id"])
        for row in world.load.rows("carried"):
            self.took.setdefault(row["transport_id"], set()).add(row["device_id"])
        self.homes = {d: self.home(d) for d in self.devices}

    def home(self, device):
        """The team that most transports with this device had, of those that went out."""
        counts = {}
        for t in self.transports:
            if device in self.took.get(t["transport_id"], ()) and t.went_out and t["team"] is not None:
                counts[t["team"]] = counts.get(t["team"], 0) + 1
        return min(counts, key=lambda team: (-counts[team], team)) if counts else None

    def requests(self, kind, team):
        """[(start, end or None, declined)] in order."""
        found = []
        for t in self.transports:
            declined = t.disposition == "declined" and t["disposition_reason"] == "no_equipment"
            out = t.went_out or t.disposition == "cancelled" and t["accepted_at"] is not None
            uses = kind == "team" or any(
                d == t["ventilator_id"] and kind == "ventilator" or d in self.devices and self.devices[d]["kind"] == kind
                for d in self.took.get(t["transport_id"], ()))
            if not (declined or out and uses) or team is not None and t["team"] != team:
                continue
            start = t["accepted_at"] if t["accepted_at"] is not None else t["called_at"]
            end = t["available_at"]
            if start is None:
                continue
            if declined or end is None or end < start or end - start > LONGEST:
                end = None
            found.append((start, None if end is None else end + TURNAROUND, declined, t["called_at"], t["transport_id"]))
        found.sort(key=lambda r: (r[0], r[3] is None, r[3] or 0, r[4]))
        return [r[:3] for r in found]

    def there(self, kind, team, moment):
        """(units in service, of these not away) at a moment."""
        held = up = 0
        for name, row in self.devices.items():
            if row["kind"] != kind or team is not None and self.homes[name] != team:
                continue
            since = None if row["in_service_on"] is None else day_start(row["in_service_on"], self.zone)
            until = None if row["retired_on"] is None else day_start(row["retired_on"] + timedelta(days=1), self.zone)
            if since is not None and moment < since or until is not None and moment >= until:
                continue
            held += 1
            up += not any(s["device_id"] == name and s["removed_at"] <= moment and (s["returned_at"] is None or moment < s["returned_at"])
                          for s in self.world.load.rows("service"))
        return held, up


def first_of(month):
    """The first day of a month given as YYYY-MM."""
    return date(int(month[:4]), int(month[5:7]), 1)


def after(day):
    """The first day of the next month."""
    return (day.replace(day=1) + timedelta(days=32)).replace(day=1)


def none_free(holds, units_at):
    """How many find none free: of those before that were served, so many still hold one."""
    served, lost = [], 0
    for start, end in holds:
        if sum(1 for e in served if e > start) >= units_at(start):
            lost += 1
        else:
            served.append(end)
    return lost


def levels(holds, start, end):
    """Hours at each level between two moments: at every instant between two events, count."""
    edges = sorted({start, end} | {min(max(m, start), end) for h in holds for m in h})
    found = {}
    for a, b in zip(edges, edges[1:]):
        n = sum(1 for s, e in holds if s <= a and b <= e)
        found[n] = found.get(n, 0) + (b - a)
    return {n: us / HOUR for n, us in found.items()}


def median(values):
    """The middle of sorted values, or the mean of the two in the middle."""
    values = sorted(values)
    n = len(values)
    return (values[(n - 1) // 2] + values[n // 2]) / 2


def pool(fleet, kind, team):
    """Rows of one kind and team."""
    requests = fleet.requests(kind, team)
    known = [end - start for start, end, _ in requests if end is not None]
    if not known:
        return
    middle = median(known)
    holds = [(start, start + middle if end is None else end) for start, end, _ in requests]
    out = lambda name, value, group="": show("", kind, team, group, name, value)  # noqa: E731
    out("requests", len(requests))
    out("declined_no_equipment", sum(r[2] for r in requests))
    out("median_hold", middle / HOUR)
    out("mean_hold", math.fsum(e - s for s, e in holds) / len(holds) / HOUR)
    for level, hours in sorted(levels(holds, fleet.start, fleet.end).items()):
        out("time_at_level", hours, str(level))
    units = 0 if kind == "team" else fleet.there(kind, team, fleet.end - 1)[0]
    if kind != "team":
        out("units", units)
    for size in range(0, units + 2):
        out("none_free", none_free(holds, lambda _: size), str(size))
        was = lambda m: max(0, size + fleet.there(kind, team, m)[1] - units) if units else size  # noqa: E731
        out("none_free_as_it_was", none_free(holds, was), str(size))


def supplies(fleet):
    """Rows of the two fixed candidates."""
    battery, gas = [0, 0, 0], [0, 0, 0]
    for t in fleet.transports:
        if not t.completed or t.month is None:
            continue
        minutes = battery_minutes(t)
        was = overdrawn(t, minutes, fleet.devices)
        if was is not None:
            add(battery, was, rounded(minutes[0] / (150 * 0.7) + minutes[1] / (180 * 0.7)) > 0.8)
        picture = GasPicture(t, "oxygen")
        short = reserve_short(t, picture)
        if short is not None:
            bottles = [r for r in t.by_table["cylinders"] if r["gas"] == "oxygen" and r["supply"] in (None, "carried")]
            used = max(0.0, math.fsum(contents(r)[0] - contents(r)[1] for r in bottles))
            left, demand = 2 * 2000 * 0.28 - used, last_oxygen_demand(t)
            add(gas, short, left < 0 or demand > 0 and rounded(left / demand) < 30)
    for name, kind, counts in (("battery", "battery", battery), ("set", "cylinders", gas)):
        show(name, kind, None, "", "shortfalls", counts[1])
        show(name, kind, None, "", "shortfalls_with", counts[2])


def add(counts, was, would):
    """One transport judged."""
    counts[0] += 1
    counts[1] += was
    counts[2] += would


def show(candidate, kind, team, group, name, value):
    """One JSON object on a line."""
    print(json.dumps({"candidate": candidate, "kind": kind, "team": team or "", "group": group, "name": name, "value": value}, ensure_ascii=False))


def main():
    """Reads, replays, prints."""
    parser = argparse.ArgumentParser(description="Recompute the replays for purchases.")
    parser.add_argument("folder")
    parser.add_argument("--time-zone", default="America/Chicago")
    options = parser.parse_args()
    sys.stdout.reconfigure(encoding="utf-8")
    zone = zoneinfo.ZoneInfo(options.time_zone)
    world = World(Loader(options.folder, options.time_zone).run(), zone)
    fleet = Fleet(world, zone)
    for kind in KINDS + ("team",):
        pool(fleet, kind, None)
    for team in sorted({h for d, h in fleet.homes.items() if h is not None and fleet.devices[d]["kind"] == "ventilator"}):
        pool(fleet, "ventilator", team)
    supplies(fleet)


if __name__ == "__main__":
    main()
