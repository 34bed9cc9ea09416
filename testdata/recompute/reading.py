"""From a folder of canonical CSV exports to typed rows and the row ledger.

What: finds files named after a table, tells encoding and delimiter, reads every cell, refuses what the contract
refuses, tells stored from repeated rows and corrections. Comes in: a folder and the team's time zone. Goes out: a
`Load` with the rows of each table and one ledger entry per file. Times are whole microseconds since 1970 in UTC.
How to run: recompute.py uses it.
"""
import csv
import datetime
import io
import itertools
import os
import re
import zoneinfo
from fractions import Fraction

from contract import IDENTIFIER, QUANTITIES, STAMPS, TABLES, convert, known_unit

UTC = datetime.timezone.utc
EPOCH = datetime.datetime(1970, 1, 1, tzinfo=UTC)
TIME = re.compile(r"(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d)(?:\.(\d{1,9}))?)?\s*(Z|[+-]\d\d(?::?\d\d)?)?\Z",
                  re.IGNORECASE)
NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?\Z")
WEEKS_DAYS = re.compile(r"(\d+)\s*\+\s*([0-6])\Z")
HEADER = re.compile(r"([A-Za-z0-9_]+)\s*(?:\((.*)\)|\[(.*)\])?\Z")
FLAGS = {"true": True, "yes": True, "y": True, "t": True, "1": True, "on": True,
         "false": False, "no": False, "n": False, "f": False, "0": False, "off": False}


class Unreadable(Exception):
    """A cell that cannot be taken; its text is the reason."""


class Row:
    """One stored row: values by canonical column, where it came from, its place in the order of loading."""

    def __init__(self, table, values, file, record, order):
        self.table, self.values, self.file, self.record, self.order = table, values, file, record, order
        self.superseded = False

    def __getitem__(self, column):
        return self.values.get(column)


class Load:
    """What a folder came to: current rows by table, and the ledger."""

    def __init__(self):
        self.all_rows = {table: [] for table in TABLES}
        self.ledger = []

    def rows(self, table):
        """Rows of a table that no later row superseded, in the order of loading."""
        return [r for r in self.all_rows[table] if not r.superseded]


def table_of(name):
    """The table whose name a file name begins with, or None."""
    lower = name.lower()
    for table in TABLES:
        rest = lower[len(table):]
        if lower.startswith(table) and lower.endswith(".csv") and not rest[:1].isalpha():
            return table
    return None


def decode(raw):
    """Bytes to text: UTF-8 with or without mark, UTF-16 with mark, else Windows-1252."""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252")


def split_header(cell):
    """(canonical name or the text itself, unit or None) of a header cell."""
    match = HEADER.match(cell.strip())
    if not match:
        return cell.strip().lower(), None
    unit = match.group(2) if match.group(2) is not None else match.group(3)
    return match.group(1).lower(), (unit.strip() if unit else None)


def records_of(text, table):
    """(delimiter, records): the delimiter is the one that shows most canonical columns in the first record."""
    best = None
    for delimiter in ",;\t":
        first = next(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), [])
        hits = sum(split_header(cell)[0] in TABLES[table] for cell in first)
        if best is None or hits > best[0]:
            best = (hits, delimiter)
    return best[1], [r for r in csv.reader(io.StringIO(text, newline=""), delimiter=best[1]) if r]


def microseconds(moment):
    """Whole microseconds since 1970 of an aware datetime."""
    return (moment - EPOCH) // datetime.timedelta(microseconds=1)


def local_candidates(naive, zone):
    """The moments that a wall clock reading may mean: one, two in the repeated hour, none in the missing one."""
    found = []
    for fold in (0, 1):
        moment = naive.replace(tzinfo=zone, fold=fold).astimezone(UTC)
        if moment.astimezone(zone).replace(tzinfo=None) == naive and microseconds(moment) not in found:
            found.append(microseconds(moment))
    return found


def time_candidates(text, zone):
    """All moments that a time cell may mean, earliest first; Unreadable if none."""
    match = TIME.match(text)
    if not match:
        raise Unreadable("time")
    year, month, day, hour, minute, second, fraction, offset = match.groups()
    micro = int((fraction or "0").ljust(6, "0")[:6])
    try:
        naive = datetime.datetime(int(year), int(month), int(day), int(hour), int(minute), int(second or 0), micro)
    except ValueError:
        raise Unreadable("time") from None
    if offset is None:
        found = local_candidates(naive, zone)
        if not found:
            raise Unreadable("missing_hour")
        return sorted(found)
    shift = 0
    if offset.upper() != "Z":
        digits = offset[1:].replace(":", "").ljust(4, "0")
        shift = (int(digits[:2]) * 60 + int(digits[2:])) * (-1 if offset[0] == "-" else 1)
    return [microseconds(naive.replace(tzinfo=UTC)) - shift * 60_000_000]


def read_number(text, decimal_comma):
    """A Fraction of a plain decimal number."""
    if decimal_comma:
        text = text.replace(",", ".")
    if not NUMBER.match(text):
        raise Unreadable("number")
    return Fraction(text)


def check_range(value, low, high):
    """The value as a float; Unreadable where, rounded to 1e-9, it is outside the range."""
    rounded = round(float(value), 9)
    if (low is not None and rounded < low) or (high is not None and rounded > high):
        raise Unreadable("range")
    return float(value)


def canonical_number(column, text, unit, decimal_comma):
    """A number cell in the column's unit."""
    if column.name == "gestation":
        match = WEEKS_DAYS.match(text)
        if match:
            return check_range(int(match.group(1)) + Fraction(int(match.group(2)), 7), column.low, column.high)
    number = read_number(text, decimal_comma)
    if column.name == "fio2" and unit is None and is_fraction(number):
        number *= 100
    if unit is not None:
        number = convert(number, unit, column.unit)
        if number is None:
            raise Unreadable("unit")
    return check_range(number, column.low, column.high)


def is_fraction(number):
    """Whether an oxygen number is meant as a fraction: 0.209 to 1."""
    return Fraction("0.209") <= number <= 1


def read_cell(column, text, unit, decimal_comma):
    """Text, code, flag, date or number of one cell (times and numbers with a unit of their own are read apart)."""
    if column.kind == "text":
        return text
    if column.kind == "code":
        if text.lower() not in column.codes:
            raise Unreadable("code")
        return text.lower()
    if column.kind == "flag":
        if text.lower() not in FLAGS:
            raise Unreadable("flag")
        return FLAGS[text.lower()]
    if column.kind == "date":
        try:
            return datetime.date.fromisoformat(text) if re.match(r"\d{4}-\d\d-\d\d\Z", text) else None
        except ValueError:
            raise Unreadable("date") from None
    return canonical_number(column, text, unit, decimal_comma)


def resolve_stamps(candidates):
    """Picks, among the meanings of a transport's stamps, those with fewest steps back; the earlier clock on a tie."""
    names = [s for s in STAMPS if s in candidates]
    best = None
    for choice in itertools.product(*(candidates[s] for s in names)):
        back = sum(later < earlier for earlier, later in itertools.combinations(choice, 2))
        if best is None or back < best[0]:
            best = (back, choice)
    return dict(zip(names, best[1])) if names else {}


def quantity_of_condition(condition):
    """The quantity that an alarm condition is about, or None."""
    name = re.sub("_(high|low)$", "", condition or "")
    return name if name in QUANTITIES else None


def own_unit_number(table, column, text, values, header_unit, decimal_comma):
    """A number whose unit the row itself carries: readings value, alarm limit and observed value."""
    number = read_number(text, decimal_comma)
    quantity = values.get("quantity") if table == "readings" else quantity_of_condition(values.get("condition"))
    unit = values.get("unit") or header_unit
    if unit and not known_unit(unit):
        raise Unreadable("unit")
    if quantity is None:
        return float(number)
    canonical, low, high = QUANTITIES[quantity]
    if quantity in ("fio2", "oxygen") and not unit and is_fraction(number):
        number *= 100
    if unit:
        number = convert(number, unit, canonical)
        if number is None:
            raise Unreadable("unit")
    return check_range(number, low, high) if table == "readings" else float(number)


class FileReader:
    """Reads the rows of one file."""

    def __init__(self, table, path, shown, zone):
        self.table, self.shown, self.zone = table, shown, zone
        with open(path, "rb") as handle:
            text = decode(handle.read())
        self.delimiter, records = records_of(text, table)
        self.header = [split_header(cell) for cell in (records[0] if records else [])]
        self.records = records[1:]
        self.decimal_comma = self.delimiter != "," and self._only_commas()

    def _only_commas(self):
        """Whether every numeric cell with a separator has a comma."""
        numeric = [i for i, (name, _) in enumerate(self.header)
                   if name in TABLES[self.table] and TABLES[self.table][name].kind == "number"]
        cells = [r[i] for r in self.records if len(r) == len(self.header) for i in numeric]
        return any("," in c for c in cells) and not any("." in c for c in cells)

    def read(self, record):
        """(values, refused cells, reason or None) of one record."""
        if len(record) != len(self.header):
            return {}, [], "field_count"
        cells = {name: (text.strip(), unit) for (name, unit), text in zip(self.header, record)
                 if name in TABLES[self.table] and text.strip() != ""}
        values, refused, stamps = {}, {}, {}
        late = [c for c in TABLES[self.table].values() if c.unit.startswith("by_")]
        for column in [c for c in TABLES[self.table].values() if c not in late] + late:
            if column.name not in cells:
                continue
            text, unit = cells[column.name]
            try:
                if column.kind == "time":
                    stamps[column.name] = time_candidates(text, self.zone)
                elif column in late:
                    values[column.name] = own_unit_number(self.table, column, text, values, unit, self.decimal_comma)
                else:
                    values[column.name] = read_cell(column, text, unit, self.decimal_comma)
                    if values[column.name] is None:
                        raise Unreadable("date")
            except Unreadable as why:
                values.pop(column.name, None)
                refused[column.name] = str(why)
        if self.table == "transports":
            values.update(resolve_stamps(stamps))
        else:
            values.update({name: found[0] for name, found in stamps.items()})
        for column in TABLES[self.table].values():
            if column.required and column.name not in values:
                return values, [], column.name + ":" + refused.get(column.name, "empty")
        return values, sorted(refused), None


class Loader:
    """Stores rows of all files: tells stored, repeated, refused and superseded."""

    def __init__(self, folder, zone_name):
        self.folder, self.zone, self.load = folder, zoneinfo.ZoneInfo(zone_name), Load()
        self.counts = {table: {} for table in TABLES}     # content -> rows stored, from the files before
        self.versions = {table: {} for table in TABLES}   # identifier -> [(content, row)], oldest first
        self.order = 0

    def run(self):
        """Reads every file in the order of its path; returns the Load."""
        for shown in sorted(self._paths()):
            self._file(shown)
        for entry in self.load.ledger:
            entry["superseded"] = sum(r.superseded and r.file == entry["file"]
                                      for r in self.load.all_rows[entry["table"]])
        return self.load

    def _paths(self):
        for parent, _, names in os.walk(self.folder):
            for name in names:
                if table_of(name):
                    yield os.path.relpath(os.path.join(parent, name), self.folder)

    def _file(self, shown):
        table = table_of(os.path.basename(shown))
        reader = FileReader(table, os.path.join(self.folder, shown), shown, self.zone)
        entry = {"file": shown, "table": table, "read": 0, "stored": 0, "repeated": 0, "refused": 0,
                 "cells_refused": 0, "superseded": 0, "reasons": {}}
        here = {}
        for number, record in enumerate(reader.records, 2):
            values, cells, reason = reader.read(record)
            entry["read"] += 1
            if reason:
                entry["refused"] += 1
                entry["reasons"][reason] = entry["reasons"].get(reason, 0) + 1
            elif self._keep(table, Row(table, values, shown, number, self.order), here):
                entry["stored"] += 1
                entry["cells_refused"] += len(cells)
            else:
                entry["repeated"] += 1
            self.order += 1
        for content, count in here.items():
            self.counts[table][content] = max(count, self.counts[table].get(content, 0))
        self.load.ledger.append(entry)

    def _keep(self, table, row, here):
        """Stores the row and says True, or says False where it is a repeat."""
        content = tuple(sorted((k, str(v)) for k, v in row.values.items()))
        identifier = row[IDENTIFIER[table]] if table in IDENTIFIER else None
        if identifier is not None:
            earlier = self.versions[table].setdefault(identifier, [])
            if any(content == other for other, _ in earlier):
                return False
            if earlier:
                earlier[-1][1].superseded = True
            earlier.append((content, row))
        else:
            here[content] = here.get(content, 0) + 1
            if here[content] <= self.counts[table].get(content, 0):
                return False
        self.load.all_rows[table].append(row)
        return True
