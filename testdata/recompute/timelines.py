"""From stored rows to what happened on each transport: windows, links, support episodes, alarms.

What: builds a `World` of transports with their linked device rows and gives, per transport, the numbers that measures
are made of. Times are microseconds; lengths that leave a function are minutes or hours as its name says.
How to run: recompute.py uses it. Everything is a plain loop over all rows: slow on purpose.
"""
import datetime
import math

from contract import STAMPS
from reading import EPOCH, microseconds

MINUTE, HOUR = 60_000_000, 3_600_000_000
DEVICE_TABLES = {"settings": "recorded_at", "readings": "recorded_at", "alarms": "started_at", "power": "recorded_at"}
TUBED = ("invasive", "high_frequency")


def rounded(value):
    """A number as it is held against a limit."""
    return round(value, 9)


class Transport:
    """One current transports row with everything linked to it."""

    def __init__(self, row, zone):
        self.row, self.zone = row, zone
        self.id = row["transport_id"]
        self.disposition = row["disposition"] or "completed"
        self.completed = self.disposition == "completed"
        self.stamps = [row[s] for s in STAMPS if row[s] is not None]
        self.devices = {row["ventilator_id"]} - {None}
        self.linked = {table: [] for table in DEVICE_TABLES}
        self.by_table = {"assessments": [], "cylinders": [], "events": []}

    def __getitem__(self, column):
        return self.row[column]

    @property
    def went_out(self):
        """Completed, or cancelled after leaving the base."""
        return self.completed or (self.disposition == "cancelled" and self["departed_base_at"] is not None)

    @property
    def month(self):
        """The month that the transport counts in, or None."""
        for stamp in ("accepted_at", "called_at", "departed_base_at"):
            if self[stamp] is not None:
                return month_of(self[stamp], self.zone)
        return None

    @property
    def window(self):
        """(start, end) of the trip window, or None without any stamp."""
        if not self.stamps:
            return None
        start, end = self["accepted_at"], self["available_at"]
        return (min(self.stamps) if start is None else start, max(self.stamps) if end is None else end)

    def holds(self, moment, widen=30):
        """Whether a moment is inside the window, widened by so many minutes, ends included."""
        if self.window is None:
            return False
        return self.window[0] - widen * MINUTE <= moment <= self.window[1] + widen * MINUTE

    def interval(self, start, end):
        """Minutes from one stamp to another, or None."""
        a, b = self[start], self[end]
        return None if a is None or b is None or b < a else (b - a) / MINUTE

    @property
    def under_way(self):
        """(start, end) under way, or None."""
        start = self["at_patient_at"] if self["at_patient_at"] is not None else self["arrived_referring_at"]
        end = self["handed_over_at"] if self["handed_over_at"] is not None else self["arrived_receiving_at"]
        return None if start is None or end is None or end < start else (start, end)

    def last_assessment(self, column):
        """A cell of the last receiving_arrival assessment, or None."""
        rows = [r for r in self.by_table["assessments"] if r["stage"] == "receiving_arrival"]
        if not rows:
            return None
        last = max(rows, key=lambda r: (-math.inf if r["recorded_at"] is None else r["recorded_at"], r.order))
        return last[column]


def month_of(moment, zone):
    """YYYY-MM of a moment on the team's wall clock."""
    return (EPOCH + datetime.timedelta(microseconds=moment)).astimezone(zone).strftime("%Y-%m")


def day_start(date, zone):
    """The moment at which a calendar day begins in a zone."""
    return microseconds(datetime.datetime(date.year, date.month, date.day, tzinfo=zone))


class World:
    """All transports of a load, with device rows linked, and the device register."""

    def __init__(self, load, zone):
        self.load, self.zone = load, zone
        self.transports = {r["transport_id"]: Transport(r, zone) for r in load.rows("transports")}
        self.devices = {r["device_id"]: r for r in load.rows("devices")}
        for row in load.rows("carried"):
            if row["transport_id"] in self.transports:
                self.transports[row["transport_id"]].devices.add(row["device_id"])
        for table in ("assessments", "cylinders", "events"):
            for row in load.rows(table):
                if row["transport_id"] in self.transports:
                    self.transports[row["transport_id"]].by_table[table].append(row)
        self.link = {}   # id(row) -> transport or None
        for table, column in DEVICE_TABLES.items():
            for row in load.rows(table):
                self._link(table, row, row[column])

    def _link(self, table, row, moment):
        if row["transport_id"] is not None:
            transport = self.transports.get(row["transport_id"])
        else:
            transport = self._carrier(row["device_id"], moment)
        self.link[id(row)] = transport
        if transport is not None and transport.holds(moment):
            transport.linked[table].append(row)

    def _carrier(self, device, moment):
        """The completed or cancelled transport that carried the device at a moment."""
        candidates = [t for t in self.transports.values()
                      if device in t.devices and t.disposition != "declined" and t.window]
        for widen in (0, 30):
            found = [t for t in candidates if t.holds(moment, widen)]
            if found:
                return min(found, key=lambda t: (distance(t.window, moment), -t.window[0], t.id))
        return None


def distance(window, moment):
    """How far a moment is outside a window."""
    return max(window[0] - moment, moment - window[1], 0)


def timeline(rows, span, column="recorded_at"):
    """[(start, end, row)] of rows in force inside a span; of equal times the later record wins."""
    ordered = sorted(rows, key=lambda r: (r[column], r.order))
    pieces = []
    for i, row in enumerate(ordered):
        end = ordered[i + 1][column] if i + 1 < len(ordered) else span[1]
        a, b = max(row[column], span[0]), min(end, span[1])
        if a < b:
            pieces.append((a, b, row))
    return pieces


# ---- support ----

def support_class(row):
    """The class of a settings row, first rule that fits."""
    mode, interface = row["mode"], row["interface"]
    if mode in ("standby", "off"):
        return "none"
    if mode in ("hfov", "hfjv"):
        return "nippv" if interface in ("nasal", "mask") else "high_frequency"
    if interface in ("tube", "tracheostomy", "laryngeal_mask"):
        return "invasive"
    if mode in ("cpap", "nippv", "low_flow", "high_flow"):
        return mode
    return "nippv" if interface in ("nasal", "mask") else "unknown"


def ventilator_settings(t):
    """Settings rows of the transport's ventilator."""
    vent = t["ventilator_id"]
    return [r for r in t.linked["settings"]
            if vent is None or r["device_id"] == vent
            or (r["device_id"] is None and r["transport_id"] is not None)]


def settings_timeline(t):
    """[(start, end, row)] of the ventilator's settings under way."""
    return timeline(ventilator_settings(t), t.under_way) if t.under_way else []


class Episode:
    """A stretch of one support class: length in microseconds, and whether a tube was the interface in it."""

    def __init__(self, name, length, tube):
        self.name, self.length, self.tube = name, length, tube

    def take(self, other):
        """Takes the time of a stretch that was passed over; a tube in that time was a tube in this episode."""
        self.length += other.length
        self.tube = self.tube or other.tube


def joined(episodes):
    """Neighbours of one class made one."""
    out = []
    for e in episodes:
        if out and out[-1].name == e.name:
            out[-1] = Episode(e.name, out[-1].length + e.length, out[-1].tube or e.tube)
        else:
            out.append(e)
    return out


def episodes(t):
    """Support episodes of a transport: none and unknown dropped, then those under 2 min passed over."""
    runs = [Episode(support_class(row), end - start, row["interface"] == "tube")
            for start, end, row in settings_timeline(t)]
    runs = joined([r for r in runs if r.name not in ("none", "unknown")])
    if not runs:
        return []
    stays = [r.length >= 2 * MINUTE for r in runs]
    if not any(stays):
        longest = max(range(len(runs)), key=lambda i: (runs[i].length, -i))
        stays[longest] = True
    first = stays.index(True)
    kept, lead = [], runs[:first]
    for r, stay in zip(runs[first:], stays[first:]):
        if stay:
            kept.append(Episode(r.name, r.length, r.tube))
        else:
            kept[-1].take(r)
    for r in lead:
        kept[0].take(r)
    return joined(kept)


# ---- alarms ----

class AlarmPicture:
    """What alarmed on one transport; hours as floats."""

    def __init__(self, t):
        self.onsets = sorted(t.linked["alarms"], key=lambda r: (r["started_at"], r.order))
        spans = monitored_spans(t)
        self.hours = math.fsum((b - a) / HOUR for a, b in spans.values())
        self.high = sum(r["priority"] == "high" for r in self.onsets)
        self.repeats = sum(self._is_repeat(i) for i in range(len(self.onsets)))
        self.flood = any(self._in_ten_minutes(r) >= 11 for r in self.onsets)
        self.sounding_hours = math.fsum(
            union_length([clip(alarm_span(r), spans[device]) for r in self.onsets if r["device_id"] == device]) / HOUR
            for device in spans)

    def _is_repeat(self, i):
        row = self.onsets[i]
        return any(e["device_id"] == row["device_id"] and e["condition"] == row["condition"]
                   and row["started_at"] - alarm_span(e)[1] < MINUTE for e in self.onsets[:i])

    def _in_ten_minutes(self, row):
        return sum(row["started_at"] - 10 * MINUTE <= e["started_at"] <= row["started_at"] for e in self.onsets)


def alarm_span(row):
    """(start, end) of an alarm; without an end, or with one before the start, no length."""
    end = row["ended_at"]
    return row["started_at"], row["started_at"] if end is None else max(end, row["started_at"])


def monitored_spans(t):
    """{device: (first, last)} over its settings, readings and alarm times inside the widened window."""
    times = {}
    for table, columns in (("settings", ("recorded_at",)), ("readings", ("recorded_at",)),
                           ("alarms", ("started_at", "ended_at"))):
        for row in t.linked[table]:
            for column in columns:
                if row[column] is not None and t.holds(row[column]):
                    times.setdefault(row["device_id"], []).append(row[column])
    return {device: (min(found), max(found)) for device, found in times.items()}


def clip(span, limits):
    """A span cut to limits; no length where they do not meet."""
    a, b = max(span[0], limits[0]), min(span[1], limits[1])
    return a, max(a, b)


def union_length(spans):
    """Length of the union of spans."""
    total, reach = 0, None
    for a, b in sorted(spans):
        if reach is None or a > reach:
            total, reach = total + (b - a), b
        elif b > reach:
            total, reach = total + (b - reach), b
    return total
