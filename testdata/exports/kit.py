"""Writes an invented export and, beside it, what its maker knows of it: truth.yaml, the right layout.

In: columns with header, cell and meaning, rows, and the habits of the exporting program. Out: files under NAME/in,
NAME/truth.yaml, and NAME/sums.csv: what a load must store, counted here from the values before they were written. Same seed,
same bytes.
"""

import csv
import gzip
import io
import json
import zipfile
from collections import Counter
from datetime import datetime, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

ROOT = Path(__file__).parent


class Column:
    """One column: header, cell from a row, and the table's column that it holds (None: nothing that is read).

    codes turns canonical codes into the export's words: {word: canonical}. beside names the header of the date that this
    clock time needs. more are (source, column) pairs of further sources that read this column. real gives the value of a
    number in the contract's unit where the row does not bear it under the column's name; utc says that the row's moments are
    UTC and not local. What is not counted is left out of sums.csv.
    """

    def __init__(self, head, cell, to=None, unit=None, codes=None, beside=None, quantity=None, time_format=None, more=(), real=None, utc=False, counted=True):
        self.head, self.to, self.unit, self.codes, self.beside = head, to, unit, codes, beside
        self.quantity, self.time_format, self.more = quantity, time_format, more
        self.real, self.utc, self.counted = real, utc, counted
        self.cell = cell if callable(cell) else (lambda row, key=cell: row[key])

    def text(self, row):
        value = self.cell(row)
        if self.codes and not isinstance(value, str):
            value = {None: None, True: "true", False: "false"}.get(value, value)
        if self.codes:
            words = [word for word, code in self.codes.items() if code == value]
            return words[0] if words else ""
        return "" if value is None else str(value)


class Export:
    def __init__(self, name):
        self.folder = ROOT / name
        self.sources, self.counts, self.seen = {}, Counter(), {}
        (self.folder / "in").mkdir(parents=True, exist_ok=True)

    def source(self, key, files, table, **rest):
        """rest: options of the source as they stand in a layout, such as time_format or constants."""
        self.sources[key] = {"files": files, "table": table, "columns": {}, **rest}

    def learn(self, key, columns):
        self.key = key
        for c in columns:
            targets = [(key, c.to)] if c.to else []
            for source, to in targets + list(c.more):
                self.put(self.sources[source]["columns"], to, c)
            if c.quantity:
                self.put(self.sources[key].setdefault("quantities", {}), c.quantity, c)

    def put(self, place, to, c):
        value = c.head if not c.beside else [c.beside, c.head]
        if isinstance(place.get(to), str) and not c.beside:
            value = [place[to], c.head]
        extra = {k: v for k, v in [("unit", c.unit), ("codes", c.codes), ("time_format", c.time_format)] if v}
        place[to] = {"from": value, **extra} if extra else value

    def file(self, name, columns, rows, delimiter=",", comma=False, encoding="utf-8", newline="\r\n", before=(), after=(), header=True, pack=None):
        self.count(columns, rows)
        lines = list(before)
        if header:
            lines.append(delimiter.join(quoted(c.head, delimiter) for c in columns))
        for row in rows:
            cells = [c.text(row) for c in columns]
            if comma:
                cells = [cell.replace(".", ",") if number(cell) else cell for cell in cells]
            lines.append(delimiter.join(quoted(cell, delimiter) for cell in cells))
        lines += after
        self.store(name, (newline.join(lines) + newline).encode(encoding), pack)

    def count(self, columns, rows):
        """Adds what each column of each source holds to sums.csv."""
        for c in columns:
            targets = [(self.key, c.to or c.quantity)] if c.to or c.quantity else []
            for source, to in targets + list(c.more):
                for row in rows:
                    self.count_cell(source, to, c, row)

    def count_cell(self, source, to, c, row):
        table, seen = self.sources[source]["table"], self.seen.setdefault((source, id(row)), set())
        value = c.real(row) if c.real else row.get(to)
        text = c.text(row)
        if text in ("", "---") or to == "unit" or not c.counted:  # a load keeps values in units of its own
            return
        if c.codes:
            self.counts[table, to, c.codes[text]] += 1
        elif isinstance(value, datetime) and to not in seen:
            at = value if c.utc else value.replace(tzinfo=ZoneInfo("America/Chicago")).astimezone(timezone.utc)
            self.counts[table, to, "filled"] += 1
            self.counts[table, to, "minutes"] += int(at.replace(tzinfo=timezone.utc).timestamp()) // 60
            seen.add(to)
        elif isinstance(value, (int, float)) and not isinstance(value, bool) and number(str(value)):
            self.counts[table, to, "filled"] += 1
            self.counts[table, to, "sum"] += value
        elif not isinstance(value, datetime):
            self.counts[table, to, "filled"] += 1

    def sums(self):
        out = io.StringIO()
        w = csv.writer(out, lineterminator="\n")
        w.writerow(["table", "column", "what", "value"])
        for (table, column, what), value in sorted(self.counts.items()):
            w.writerow([table, column, what, round(value, 6)])
        (self.folder / "sums.csv").write_text(out.getvalue(), encoding="utf-8")

    def store(self, name, data, pack):
        path = self.folder / "in" / (name if pack != "zip" else name.rsplit(".", 1)[0] + ".zip")
        if pack == "gzip":
            out = io.BytesIO()
            with gzip.GzipFile("", "wb", fileobj=out, mtime=0) as f:
                f.write(data)
            data = out.getvalue()
        if pack == "zip":
            out = io.BytesIO()
            with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as z:
                z.writestr(zipfile.ZipInfo(name, (2025, 6, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
            data = out.getvalue()
        path.write_bytes(data)

    def end(self):
        self.sums()
        lines = ["# The right layout, as the one who made the export knows it.", "sources:"]
        for source in self.sources.values():
            mark = "  - "
            for key, value in source.items():
                if isinstance(value, dict):
                    lines.append(f"{mark}{key}:")
                    lines += [f"      {json.dumps(k, ensure_ascii=False)}: {json.dumps(v, ensure_ascii=False)}" for k, v in value.items()]
                else:
                    lines.append(f"{mark}{key}: {json.dumps(value, ensure_ascii=False)}")
                mark = "    "
        (self.folder / "truth.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def quoted(cell, delimiter):
    return '"' + cell.replace('"', '""') + '"' if delimiter in cell or '"' in cell or "\n" in cell else cell


def number(cell):
    try:
        float(cell)
        return True
    except ValueError:
        return False


def when(key, form):
    """A cell that writes the moment under key; %-I and the like are not portable, so leading zeros stay."""
    return lambda row: "" if row[key] is None else row[key].strftime(form)


def scaled(key, factor, places, offset=0):
    return lambda row: "" if row[key] is None else f"{row[key] * factor + offset:.{places}f}"


EXPORTS = {}


def export(name):
    def register(make):
        EXPORTS[name] = make
        return make
    return register
