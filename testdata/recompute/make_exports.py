#!/usr/bin/env python3
"""Invents folders of canonical-form CSV exports that are awkward on purpose, for checking a reader of them.

What: all 13 tables, several files each, in mixed delimiters, encodings, line ends, column orders, units, clocks; bulk
transports made at random (invented.py) and a fixed set of cases on the edge of every rule (edges.py). Names, people and
places are invented. The same seed gives the same bytes.

How to run:
    python3 make_exports.py SEED OUTDIR [--transports N]
OUTDIR must not exist or be empty. N counts the random transports (60); the edge cases come on top.
"""
import argparse
import datetime
import os
import random
import sys
import zoneinfo

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

from contract import STAMPS, TABLES  # noqa: E402
from edges import edge_files  # noqa: E402
from invented import Raw, invent  # noqa: E402

ZONE = zoneinfo.ZoneInfo("America/Chicago")
UTC = datetime.timezone.utc
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "cp1252")
# column: (unit shown in the header, factor from the canonical unit, offset, decimals)
OTHER_UNITS = {
    "start_pressure": ("psi", 1 / 6.894757293168, 0, 0), "end_pressure": ("psi", 1 / 6.894757293168, 0, 0),
    "temperature": ("degF", 1.8, 32, 1), "glucose": ("mmol/L", 1 / 18.016, 0, 2),
    "birth_weight": ("kg", 0.001, 0, 3), "weight": ("kg", 0.001, 0, 3), "pco2": ("kPa", 0.133322, 0, 2),
    "po2": ("kPa", 0.133322, 0, 2), "planned_duration": ("h", 1 / 60, 0, 2),
    "battery_endurance": ("h", 1 / 60, 0, 2), "battery_endurance_display_dimmed": ("h", 1 / 60, 0, 2),
    "inspiratory_time": ("ms", 1000, 0, 0), "start_mass": ("lb", 1 / 0.45359237, 0, 2),
    "end_mass": ("lb", 1 / 0.45359237, 0, 2),
}
BRACKETED = ("temperature", "weight", "po2")     # header unit in [] instead of ()
NEVER_DROPPED = ("ventilator_id", "disposition", "device_id", "transport_id", "supply", "unit", "ended_at", "team",
                 "size", "start_pressure", "end_pressure", "battery_endurance", "planned_oxygen", "temperature", "interface",
                 "mode", "fio2", "flow")
FLAG_WORDS = (("true", "false"), ("yes", "no"), ("1", "0"), ("Y", "N"))


class Dialect:
    """How one file is written."""

    def __init__(self, dice, table, family):
        self.family = family
        self.delimiter = dice.choice(",;\t")
        self.encoding = dice.choice(ENCODINGS)
        self.newline = dice.choice(("\n", "\r\n"))
        self.clock = dice.choice(("local", "local", "offset", "zulu"))
        self.other_units = family == 1
        self.fraction = family == 1
        self.weeks_days = family == 1
        self.decimal_comma = family == 1 and self.delimiter == ";" and table in ("assessments", "settings")
        self.separator = dice.choice(" T")
        self.flags = dice.choice(FLAG_WORDS)
        self.columns = list(TABLES[table])
        dice.shuffle(self.columns)

    def drop(self, dice, table):
        """Leaves out up to two optional columns."""
        spare = [c.name for c in TABLES[table].values()
                 if not c.required and c.name not in NEVER_DROPPED and c.name not in STAMPS and c.kind != "time"]
        for name in dice.sample(spare, min(len(spare), dice.choice((0, 1, 2)))):
            self.columns.remove(name)

    def header(self, name):
        """The header cell of a column."""
        if self.other_units and name in OTHER_UNITS:
            unit = OTHER_UNITS[name][0]
            return f"{name} [{unit}]" if name in BRACKETED else f"{name} ({unit})"
        return name

    def cell(self, column, value):
        """The text of one cell."""
        if value is None:
            return ""
        if isinstance(value, Raw):
            return value.text
        if isinstance(value, bool):
            return self.flags[0 if value else 1]
        if isinstance(value, datetime.datetime):
            return self.time(value)
        if column.kind == "number" and isinstance(value, (int, float)):
            return self.number(column.name, value)
        return str(value)

    def number(self, name, value):
        """The text of a number, in the file's unit for its column."""
        if name == "gestation" and self.weeks_days:
            return f"{int(value)}+{min(6, round((value - int(value)) * 7))}"
        if name == "fio2" and self.fraction:
            text = f"{value / 100:.2f}"
        elif self.other_units and name in OTHER_UNITS:
            _, factor, offset, decimals = OTHER_UNITS[name]
            text = f"{value * factor + offset:.{decimals}f}"
        else:
            text = f"{value:.6f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
        return text.replace(".", ",") if self.decimal_comma else text

    def time(self, moment):
        """The text of a moment on the file's clock; the repeated hour always bears its offset here."""
        local = moment.astimezone(ZONE)
        repeated = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
        if self.clock == "zulu":
            return moment.astimezone(UTC).strftime(f"%Y-%m-%d{self.separator}%H:%M:%SZ")
        if self.clock == "offset" or repeated:
            return local.isoformat(sep=self.separator, timespec="seconds")
        return local.strftime(f"%Y-%m-%d{self.separator}%H:%M:%S")


def quoted(text, delimiter):
    """A cell, in quotes where it needs them."""
    if any(c in text for c in (delimiter, '"', "\n", "\r")):
        return '"' + text.replace('"', '""') + '"'
    return text


def write(path, delimiter, encoding, newline, lines):
    """Writes a file of records, each a list of cell texts."""
    text = newline.join(delimiter.join(quoted(c, delimiter) for c in line) for line in lines) + newline
    if encoding == "utf-16":
        raw = b"\xff\xfe" + text.encode("utf-16-le")
    else:
        raw = text.encode(encoding)
    with open(path, "wb") as handle:
        handle.write(raw)


def dialects_of(dice, table, count):
    """One dialect per file; every second file has other units, the one after next the same columns again."""
    dialects = []
    for i in range(count):
        dialect = Dialect(dice, table, i % 2)
        if i < 2:
            dialect.drop(dice, table)
        else:
            dialect.columns = dice.sample(dialects[i - 2].columns, len(dialects[i - 2].columns))
        dialects.append(dialect)
    if table == "transports":
        dialects[1].encoding = "cp1252"
    return dialects


def write_table(dice, folder, table, rows):
    """One table's rows over several files; some rows stand in two, some twice in one, some are one cell short."""
    count = max(2, min(4, len(rows) // 8))
    shares = [[] for _ in range(count)]
    for row in rows:
        where = row.pop("_file", None)
        shares[dice.randrange(count) if where is None else where].append(row)
    dialects = dialects_of(dice, table, count)
    for i, share in enumerate(shares):
        dialect = dialects[i]
        clean = [n for n, row in enumerate(share, 1) if not row.get("_bad")]
        again = [r for r in shares[i - 2] if not r.get("_bad")][:3] if i >= 2 else []
        lines = [[dialect.header(c) for c in dialect.columns]]
        for row in share + again:
            lines.append([dialect.cell(TABLES[table][c], row.get(c)) for c in dialect.columns])
        if clean and dice.random() < 0.5:      # the same record twice in one file
            lines.append(lines[dice.choice(clean)])
        if dice.random() < 0.3:                # a record that is one cell short
            lines.append(lines[1][:-1])
        write(os.path.join(folder, f"{table}-{'abcd'[i]}.csv"), dialect.delimiter, dialect.encoding,
              dialect.newline, lines)


def main():
    """Invents and writes."""
    parser = argparse.ArgumentParser(description="Write a folder of awkward canonical exports.")
    parser.add_argument("seed", type=int)
    parser.add_argument("outdir")
    parser.add_argument("--transports", type=int, default=60)
    options = parser.parse_args()
    if os.path.isdir(options.outdir) and os.listdir(options.outdir):
        sys.exit(f"make_exports: expected an empty folder, found files in {options.outdir}: name another")
    os.makedirs(options.outdir, exist_ok=True)
    dice = random.Random(options.seed)
    year = 2022 + options.seed % 4
    tables = invent(dice, year, options.transports)
    for table in TABLES:
        write_table(dice, options.outdir, table, tables[table])
    for name, delimiter, encoding, newline, lines in edge_files(dice, year):
        write(os.path.join(options.outdir, name), delimiter, encoding, newline, lines)


if __name__ == "__main__":
    main()
