#!/usr/bin/env python3
"""A whole-run case of exports that need a layout: the records of mixed-exports-a once more, as other programs would export them.

What: reads mixed-exports-a/in as recompute does, and writes what it stored into layouts-a/in under invented headers, in other
units, codes, clocks and shapes (readings with a column for each quantity, one export for two tables), with layouts-a/layout.yaml
by which they are read, and layouts-a/want/ledger.csv. The measures must be those of mixed-exports-a/want: no row is lost.

How to run: python3 make_layouts.py
"""
import csv
import datetime
import os
import shutil
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

from contract import QUANTITIES, TABLES  # noqa: E402
from make_case import LEDGER, ZONE, table  # noqa: E402
from reading import Loader  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
OUT = os.path.join(os.path.dirname(HERE), "layouts-a")
UTC = datetime.timezone.utc

# unit in the export: value in it = canonical value * factor + offset (NIST SP 811; UCUM for mm[Hg] and cm[H2O])
UNITS = {"kg": (0.001, 0), "degF": (1.8, 32), "kPa": (0.133322, 0), "mmol/L": (1 / 18.016, 0), "1": (0.01, 0),
         "mbar": (0.980665, 0), "psi": (1 / 6.894757293168, 0), "lb": (1 / 0.45359237, 0), "ms": (1000, 0), "h": (1 / 60, 0)}

FLAG = {True: "ja", False: "nein"}
CODES = {"vehicle": {"ground": "NEF", "rotor": "RTH", "fixed_wing": "Jet"},
         "stage": {"referring_arrival": "1 Ref arr", "referring_departure": "2 Ref dep", "receiving_arrival": "3 Rec arr"},
         "mode": {"simv": "S-IMV", "cpap": "Spont", "standby": "STBY"}, "interface": {"tube": "ETT", "nasal": "Prongs"},
         "source": {"external": "EXT", "battery": "BAT"}, "gas": {"oxygen": "O2", "air": "Druckluft"},
         "harm": {"none": "0", "mild": "1", "moderate": "2", "severe": "3", "death": "4"}}


def stamp(pattern, hours=0):
    """How a program in a fixed zone writes a moment."""
    zone = datetime.timezone(datetime.timedelta(hours=hours))
    return lambda at: datetime.datetime.fromtimestamp(at // 1000000, zone).strftime(pattern)


class Export:
    """One file: how its cells are written."""

    def __init__(self, time, units=None, headers=None, empty="", comma=False, flags=None):
        self.time, self.units, self.headers, self.empty, self.comma = time, units or {}, headers or {}, empty, comma
        self.flags = flags or {True: "true", False: "false"}

    def header(self, column):
        return self.headers.get(column, "X " + column.replace("_", " ").title())

    def cell(self, column, value):
        if value is None:
            return self.empty
        if isinstance(value, bool):
            return self.flags[value]
        if isinstance(value, datetime.date):
            return value.strftime("%d/%m/%Y")
        if isinstance(value, int):
            return self.time(value)
        if isinstance(value, float):
            return self.number(column, value)
        return CODES.get(column, {}).get(value, value)

    def number(self, column, value):
        factor, offset = UNITS[self.units[column]] if column in self.units else (1, 0)
        text = repr(value * factor + offset)
        return text.replace(".", ",") if self.comma else text

    def layout(self, columns):
        """The lines of a layout for these columns of a table."""
        lines = []
        for c in columns:
            header = '"%s"' % self.header(c.name)
            codes = CODES.get(c.name) if c.kind == "code" else FLAG if c.kind == "flag" and self.flags is FLAG else None
            if c.name in self.units:
                header = '{from: %s, unit: "%s"}' % (header, self.units[c.name])
            elif codes:
                pairs = ", ".join('"%s": %s' % (text, str(code).lower()) for code, text in codes.items())
                header = "{from: %s, codes: {%s}}" % (header, pairs)
            lines.append("      %s: %s" % (c.name, header))
        return lines


def write(name, rows, delimiter=",", encoding="utf-8", before="", after=""):
    with open(os.path.join(OUT, "in", name), "w", encoding=encoding, newline="") as handle:
        handle.write(before)
        csv.writer(handle, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
        handle.write(after)


class Case:
    """The exports, the layout and the ledger as they grow."""

    def __init__(self, load):
        self.load, self.lines, self.ledger = load, ["# Made by testdata/recompute/make_layouts.py.", "sources:"], []

    def source(self, pattern, name, lines):
        self.lines += ["  - files: \"%s\"" % pattern, "    table: " + name] + lines

    def told(self, file, name, stored):
        zeros = dict.fromkeys(("repeated", "refused", "cells_refused", "superseded"), 0)
        self.ledger.append({"file": file, "table": name, "read": stored, "stored": stored, **zeros})

    def plain(self, name, file, pattern, export, keys, **how):
        """One table in one file, all its columns under other headers."""
        columns, rows = list(TABLES[name].values()), self.load.rows(name)
        body = [[export.header(c.name) for c in columns]] + [[export.cell(c.name, r[c.name]) for c in columns] for r in rows]
        write(file, body, **how)
        self.source(pattern, name, keys + ["    columns:"] + export.layout(columns))
        self.told(file, name, len(rows))

    def canonical(self, name):
        """A table that needs no layout, beside those that do."""
        export = Export(stamp("%Y-%m-%dT%H:%M:%SZ"))
        columns, rows = list(TABLES[name].values()), self.load.rows(name)
        names = [c.name for c in columns]
        cells = [[("" if r[n] is None else r[n].isoformat() if isinstance(r[n], datetime.date) else
                   export.cell("", r[n])) for n in names] for r in rows]
        write(name + ".csv", [names] + cells)
        self.told(name + ".csv", name, len(rows))

    def trends(self):
        """Readings, a column for each quantity, a file for each device; values that share a row share transport and time."""
        export = Export(None, {"pip": "mbar", "temperature": "degF", "etco2": "kPa"})
        quantities = list(QUANTITIES)
        date, clock = stamp("%m/%d/%Y", -6), stamp("%I:%M:%S %p", -6)
        files = {}
        for r in self.load.rows("readings"):
            files.setdefault(r["device_id"], []).append(r)
        for device, readings in files.items():
            rows = []
            for r in readings:
                key = (r["transport_id"], r["recorded_at"])
                row = next((x for x in rows if x[0] == key and r["quantity"] not in x[1]), None)
                if row is None:
                    row = (key, {})
                    rows.append(row)
                row[1][r["quantity"]] = export.cell(r["quantity"], r["value"])
            body = [["Unit", "Case", "Date", "Time"] + ["m " + q for q in quantities]]
            body += [[device or "", key[0] or "", date(key[1]), clock(key[1])] + [cells.get(q, "---") for q in quantities] for key, cells in rows]
            file = "trend %s.CSV" % (device or "unknown")
            write(file, body)
            self.told(file, "readings", len(readings))
        units = {q: '{from: "m %s", unit: "%s"}' % (q, export.units[q]) if q in export.units else '"m %s"' % q for q in quantities}
        self.source("trend *.csv", "readings", ["    time_zone: Etc/GMT+6", '    time_format: "%m/%d/%Y %I:%M:%S %p"', '    missing: "---"',
                    '    columns: {device_id: Unit, transport_id: "case", recorded_at: [Date, Time]}', "    quantities:"] +
                    ["      %s: %s" % pair for pair in units.items()])

    def device_events(self):
        """Alarms and power changes in one file, told apart by a column, with rows that are neither."""
        names = ["Kind", "Case", "Unit", "At", "Until", "Silenced", "What", "Prio", "Limit", "Seen", "Seen unit", "Supply", "Charge", "Dim"]
        at = lambda moment: "" if moment is None else str(moment // 1000)  # noqa: E731
        text = lambda value: "" if value is None else value if isinstance(value, str) else repr(value)  # noqa: E731
        plain = Export(None)
        body = [names]
        for n, r in enumerate(self.load.rows("alarms")):
            condition = (r["condition"] or "").upper().replace("_", " ")
            body.append(["Alarm", text(r["transport_id"]), text(r["device_id"]), at(r["started_at"]), at(r["ended_at"]), at(r["silenced_at"]), condition,
                         text(r["priority"]), text(r["alarm_limit"]), text(r["observed"]), "" if self.canonical_unit(r) else text(r["unit"]), "", "", ""])
            if n % 10 == 0:
                body.append(["INFO", "", text(r["device_id"]), "never", "", "", "self test", "", "", "", "", "", "", ""])
        for r in self.load.rows("power"):
            dimmed = "" if r["display_dimmed"] is None else str(r["display_dimmed"]).lower()
            body.append(["power", text(r["transport_id"]), text(r["device_id"]), at(r["recorded_at"]), "", "", "", "", "", "", "",
                         plain.cell("source", r["source"]), text(r["charge"]), dimmed])
        write("device events.csv", body, delimiter="\t", encoding="utf-16")
        conditions = {c: c.upper().replace("_", " ") for c in sorted({r["condition"] for r in self.load.rows("alarms")})}
        self.source("device events.*", "alarms", ["    time_format: epoch_ms", "    where: {column: Kind, is: ALARM}", "    columns:", "      transport_id: Case",
                    "      device_id: Unit", "      started_at: At", "      ended_at: Until", "      silenced_at: Silenced",
                    "      condition: {from: What, codes: {%s}}" % ", ".join("%s: %s" % (text, code) for code, text in conditions.items()),
                    "      priority: Prio", "      alarm_limit: Limit", "      observed: Seen", "      unit: Seen unit"])
        self.source("device events.*", "power", ["    time_format: epoch_ms", "    where: {column: Kind, is_not: [ALARM, INFO]}", "    columns:",
                    "      transport_id: Case", "      device_id: Unit", "      recorded_at: At", "      source: {from: Supply, codes: {EXT: external, BAT: battery}}",
                    "      charge: Charge", "      display_dimmed: Dim"])
        self.told("device events.csv", "alarms", len(self.load.rows("alarms")))
        self.told("device events.csv", "power", len(self.load.rows("power")))

    @staticmethod
    def canonical_unit(row):
        """Whether recompute holds the row's numbers in their quantity's own unit: then the export names none."""
        from reading import quantity_of_condition
        return quantity_of_condition(row["condition"]) is not None


def main():
    shutil.rmtree(OUT, ignore_errors=True)
    os.makedirs(os.path.join(OUT, "in"))
    os.makedirs(os.path.join(OUT, "want"))
    case = Case(Loader(os.path.join(os.path.dirname(HERE), "mixed-exports-a", "in"), ZONE).run())
    case.plain("transports", "Dispatch 2025.CSV", "Dispatch *.csv",
               Export(stamp("%d.%m.%Y %H:%M:%S"), {"weight": "kg", "birth_weight": "kg", "planned_duration": "h"}, {"transport_id": "Einsatz Nr."}, "k.A.", True, FLAG),
               ["    time_zone: UTC", '    time_format: "%d.%m.%Y %H:%M:%S"', "    missing: [K.A., \"-\"]", "    decimal: comma"], delimiter=";", encoding="windows-1252")
    case.plain("assessments", "Bedside.txt", "Bedside.txt", Export(stamp("%Y%m%d %H%M%S", 2), {"temperature": "degF", "pco2": "kPa", "po2": "kPa", "glucose": "mmol/L", "fio2": "1"}),
               ["    time_zone: Etc/GMT-2", '    time_format: "%Y%m%d %H%M%S"', "    skip: 3"], delimiter="|", before="Export of bedside records\r\n\r\nCrew: all\r\n")
    case.plain("settings", "vent changes.csv", "vent changes*", Export(stamp("%y-%j %H:%M:%S", 5.5), {"pip": "mbar", "inspiratory_time": "ms"}, {"mode": "Mode", "pip": "P peak"}),
               ["    time_zone: Asia/Kolkata", '    time_format: ["%m/%d/%Y %H:%M", "%y-%j %T"]'])
    case.trends()
    case.device_events()
    case.plain("cylinders", "gas sheet 1.csv", "gas sheet*.csv", Export(stamp("%Y-%m-%d %H:%M:%S+02:00", 2), {"start_pressure": "psi", "end_pressure": "psi",
               "start_temperature": "degF", "end_temperature": "degF"}, {"start_pressure": "Before (psi)", "end_pressure": "After (psi)"}), [])
    case.plain("events", "incidents.csv", "incidents.csv", Export(stamp("%a %d %b %Y %H:%M:%S"), {}, {}, "", False, FLAG), ["    time_zone: UTC", '    time_format: "%a %d %b %Y %H:%M:%S"'])
    case.plain("devices", "Assets.csv", "A*.csv", Export(None), ['    time_format: "%d/%m/%Y"'], delimiter=";")
    case.plain("service", "workshop.csv", "workshop.csv", Export(lambda at: repr(at / 86400e6 + 25569)), ["    time_zone: UTC", "    time_format: excel"])
    case.plain("checks", "daily.csv", "daily.csv", Export(stamp("%d.%m.%y %H.%M.%S")), ["    time_zone: UTC", '    time_format: "%d.%m.%y %H.%M.%S"'])
    case.canonical("carried")
    case.canonical("notes")
    with open(os.path.join(OUT, "layout.yaml"), "w", encoding="utf-8") as handle:
        handle.write("\n".join(case.lines) + "\n")
    with open(os.path.join(OUT, "want", "ledger.csv"), "w", encoding="utf-8") as handle:
        handle.write(table(LEDGER, case.ledger))


if __name__ == "__main__":
    main()
